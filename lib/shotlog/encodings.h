// How some members of a shot log's lines are written that no other file has.
#pragma once

#include <algorithm>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "lib/base/number.h"
#include "lib/json/fields.h"
#include "lib/shotlog/line.h"

namespace noonfall::shotlog {

inline constexpr json::Whole count{0, 1'000'000'000};
inline constexpr json::Words filter_states{FilterState::unknown};

/// A kind that a later version has makes a note.
struct Kind : json::Alternative<kinds.size()> {
  void read(const json::Found& found, Entry& entry) const {
    const auto* word = found.value.get_ptr<const std::string*>();
    const bool known = word == nullptr || std::find(words.begin(), words.end(), *word) != words.end();
    if (known) return Alternative::read(found, entry);
    entry = Note{fmt::format("a line of a kind that isn't known here: \"{}\"", *word)};
  }
};

/// "3.2": the set's number and the frame's.
struct SetAndFrame {
  [[nodiscard]] json::Json write(const FrameName& name) const {
    return fmt::format("{}.{}", name.set, name.frame);
  }
  void read(const json::Found& found, FrameName& name) const {
    std::string text;
    json::Text{}.read(found, text);
    const auto dot = std::min(text.find('.'), text.size());
    const auto set = number(std::string_view{text}.substr(0, dot));
    const auto frame = number(std::string_view{text}.substr(std::min(dot + 1, text.size())));
    if (!set || !frame) return found.refuse("a frame like \"3.2\"");
    name.set = *set;
    name.frame = *frame;
  }

 private:
  static std::optional<std::int32_t> number(std::string_view text) {
    const auto read = parse_integer(text);
    if (!read || *read < 1 || *read > count.most) return std::nullopt;
    return static_cast<std::int32_t>(*read);
  }
};

/// Members by the contacts' names.
struct ByContact {
  static constexpr json::Described contact{[](auto& io, auto& it) {
    io("utc", it.utc, json::utc);
    io("uncertainty_s", it.uncertainty, json::seconds);
  }};

  [[nodiscard]] json::Json write(const std::vector<NamedContact>& contacts) const {
    auto out = json::Json::object();
    for (const auto& each : contacts) out[std::string{to_text(each.name)}] = contact.write(each);
    return out;
  }
  void read(const json::Found& found, std::vector<NamedContact>& contacts) const {
    if (!found.value.is_object()) return found.refuse("an object");
    for (const auto& [name, value] : found.value.items()) {
      const auto known = contacts::parse_contact_name(name);
      const json::Place place{&found.place, name};
      if (!known) return json::Found{value, place, found.findings}.refuse("the name of a contact");
      contact.read({value, place, found.findings}, contacts.emplace_back(NamedContact{*known, {}, {}}));
    }
  }
};

}  // namespace noonfall::shotlog
