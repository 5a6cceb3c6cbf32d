#include "lib/json/encodings.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lib/base/code_points.h"

namespace noonfall::json {
namespace {

constexpr std::int64_t furthest_us = 250LL * 366 * 86'400 * 1'000'000;

}  // namespace

const Json& Reader::find(const char* name) {
  static const Json missing(Json::value_t::discarded);
  if (in_.value.is_array()) return next_ < in_.value.size() ? in_.value[next_++] : missing;
  if (in_.findings.rules.unknown == Unknown::refused) asked_.emplace_back(name);
  const auto& members = in_.value.get_ref<const Json::object_t&>();
  for (std::size_t n = 0; n < members.size(); ++n) {
    const auto& member = *(members.begin() + static_cast<std::ptrdiff_t>((next_ + n) % members.size()));
    if (member.first != name) continue;
    next_ = (next_ + n + 1) % members.size();
    return member.second;
  }
  return missing;
}

void Reader::end() const {
  if (in_.value.is_array()) {
    if (next_ < in_.value.size()) in_.refuse(fmt::format("a list of {}", next_));
    return;
  }
  if (in_.findings.rules.unknown == Unknown::passed_over) return;
  for (const auto& [name, value] : in_.value.items()) {
    const Place place{&in_.place, name};
    if (std::ranges::find(asked_, name) == asked_.end()) Found{value, place, in_.findings}.refuse_unknown();
  }
}

Json Text::write(std::string_view text) const {
  if (text.size() <= longest) return text;
  auto end = longest;
  while (end > longest - 4 && continues_code_point(text[end])) --end;
  return text.substr(0, end);
}

void Text::read(const Found& found, std::string& text) const {
  if (!found.value.is_string()) return found.refuse("a text");
  text = found.value.get_ref<const std::string&>();
}

void Flag::read(const Found& found, bool& value) const {
  if (!found.value.is_boolean()) return found.refuse("true or false");
  value = found.value.get<bool>();
}

std::optional<std::int64_t> Whole::number(const Found& found) const {
  const auto& value = found.value;
  const auto in_range = [&](const auto& number) {
    return std::cmp_greater_equal(number, least) && std::cmp_less_equal(number, most);
  };
  const bool fits = value.is_number_unsigned()
                        ? in_range(value.get<std::uint64_t>())
                        : value.is_number_integer() && in_range(value.get<std::int64_t>());
  if (fits) return value.get<std::int64_t>();
  using Small = std::numeric_limits<std::int32_t>;
  found.refuse(fmt::format("a whole number{}{}", least <= Small::min() ? "" : fmt::format(" from {}", least),
                           most >= Small::max() ? "" : fmt::format(" to {}", most)));
  return std::nullopt;
}

void Whole::read(const Found& found, std::uint64_t& number) const {
  if (!found.value.is_number_unsigned()) return found.refuse("a whole number");
  number = found.value.get<std::uint64_t>();
}

void Version::read(const Found& found, int& version) const {
  const bool read = found.value.is_number_integer() && found.value >= oldest && found.value <= known;
  if (read) {
    version = found.value.get<int>();
    return;
  }
  const auto wanted =
      oldest == known ? fmt::format("version {}", known) : fmt::format("version {} to {}", oldest, known);
  found.refuse(wanted + (remedy.empty() ? "" : "; ") + std::string{remedy});
  found.findings.closed = true;
}

void Number::read(const Found& found, double& number) const {
  if (found.value.is_number()) {
    const auto read = found.value.get<double>();
    if (read >= least && read <= most) {
      number = read;
      return;
    }
  }
  const bool open = most == std::numeric_limits<double>::max();
  found.refuse(open ? "a number" : fmt::format("a number from {} to {}", least, most));
}

Json Us::write(Duration span) const {
  return std::clamp<std::int64_t>(span.count(), -furthest_us, furthest_us);
}

void Us::read(const Found& found, Duration& span) const {
  const auto& value = found.value;
  if (!value.is_number_integer() || std::abs(value.get<double>()) > static_cast<double>(furthest_us))
    return found.refuse("a whole number of microseconds");
  span = Duration{value.get<std::int64_t>()};
}

std::optional<std::size_t> choice(const Found& found, std::span<const std::string_view> words,
                                  std::string_view code) {
  const auto* text = found.value.get_ptr<const std::string*>();
  const auto word = text == nullptr ? words.end() : std::ranges::find(words, *text);
  if (word != words.end()) return static_cast<std::size_t>(word - words.begin());
  found.refuse(fmt::format("one of \"{}\"", fmt::join(words, "\", \"")), code);
  return std::nullopt;
}

}  // namespace noonfall::json
