// One description of a value's members, for writing and for reading. For a struct T it is
//     void fields(auto& io, json::Like<T> auto& it) {
//       io("order", it.order);
//       io("due_utc", it.due, json::utc);
//       io.maybe("why", it.why);  // left out when it is empty
//     }
// in T's namespace. How a member is written is said by an encoding: the usual one of its type, or another
// behind it. An encoding has `Json write(const T&) const` and `void read(const Found&, T&) const`.
#pragma once

#include <concepts>
#include <limits>
#include <optional>
#include <type_traits>
#include <utility>
#include <vector>

#include "lib/json/json.h"

namespace noonfall::json {

/// How a T is written where nothing else is said.
template <class T>
struct Usual;

/// A T to be read, or a const T to be written.
template <class It, class T>
concept Like = std::same_as<std::remove_const_t<It>, T>;

/// For the members of a value that may be missing, after has().
template <class T>
T& made(std::optional<T>& value) {
  return value.emplace();
}
template <class T>
const T& made(const std::optional<T>& value) {
  return *value;
}

/// Members of an object in the order given, or elements of a list, whose names are then for messages only.
class Writer {
 public:
  explicit Writer(Json::value_t kind) : out_(kind) {}

  template <class T, class As = Usual<T>>
  void operator()(const char* name, const T& value, const As& as = {}) {
    put(name, as.write(value));
  }
  /// Left out when it is `absent`; null in a list.
  template <class T, class As = Usual<T>>
  void maybe(const char* name, const T& value, const As& as = {},
             const std::type_identity_t<T>& absent = T{}) {
    if (value == absent) return leave_out();
    put(name, as.write(value));
  }
  template <class T, class As = Usual<T>>
  void maybe(const char* name, const std::optional<T>& value, const As& as = {}) {
    if (!value) return leave_out();
    put(name, as.write(*value));
  }
  /// Whether the members that come with `name` are there.
  [[nodiscard]] bool has(const char* /*name*/, bool written) const { return written; }
  /// For those who read the text; never read back.
  template <class T, class As = Usual<T>>
  void shown(const char* name, const T& value, const As& as = {}) {
    put(name, as.write(value));
  }
  [[nodiscard]] Json take() { return std::move(out_); }

 private:
  void put(const char* name, Json value) {
    if (out_.is_array()) return out_.push_back(std::move(value));
    out_[name] = std::move(value);
  }
  void leave_out() {
    if (out_.is_array()) out_.push_back(nullptr);
  }

  Json out_;
};

/// The same in reverse. What isn't as wanted becomes a finding, and the value stays as it was.
class Reader {
 public:
  /// `in` is an object or a list.
  explicit Reader(const Found& in) : in_{in} {}

  template <class T, class As = Usual<T>>
  void operator()(const char* name, T& value, const As& as = {}) {
    read(name, find(name), value, as);
  }
  template <class T, class As = Usual<T>>
  void maybe(const char* name, T& value, const As& as = {}, const std::type_identity_t<T>& absent = T{}) {
    const auto& member = find(name);
    if (is_there(member)) return read(name, member, value, as);
    value = absent;
  }
  template <class T, class As = Usual<T>>
  void maybe(const char* name, std::optional<T>& value, const As& as = {}) {
    const auto& member = find(name);
    if (is_there(member)) read(name, member, value.emplace(), as);
  }
  [[nodiscard]] bool has(const char* name, bool /*written*/) { return is_there(find(name)); }
  template <class T, class As = Usual<T>>
  void shown(const char* name, const T& /*value*/, const As& /*as*/ = {}) {
    find(name);
  }
  /// Refuses what nobody asked for.
  void end() const;

 private:
  template <class T, class As>
  void read(const char* name, const Json& member, T& value, const As& as) {
    const Place place{&in_.place, name};
    as.read({member, place, in_.findings}, value);
  }
  const Json& find(const char* name);
  [[nodiscard]] bool is_there(const Json& member) const {
    return !member.is_discarded() && !(in_.value.is_array() && member.is_null());
  }

  const Found& in_;
  std::size_t next_ = 0;  // where the next member is looked for first: they come in the order written
  std::vector<std::string_view> asked_;  // where unknown ones are refused
};

/// A value by a description of its own, as an object or (`Json::value_t::array`) a list.
template <class Description>
struct Described {
  Description describe;
  Json::value_t kind = Json::value_t::object;

  template <class T>
  [[nodiscard]] Json write(const T& value) const {
    Writer io{kind};
    describe(io, value);
    return io.take();
  }
  template <class T>
  void read(const Found& found, T& value) const {
    if (found.value.type() != kind)
      return found.refuse(kind == Json::value_t::object ? "an object" : "a list");
    Reader io{found};
    describe(io, value);
    io.end();
  }
};

template <class Description>
Described(Description) -> Described<Description>;
template <class Description>
Described(Description, Json::value_t) -> Described<Description>;

/// What fields() says of it.
struct ByFields {
  void operator()(auto& io, auto& value) const { fields(io, value); }
};
inline constexpr Described<ByFields> object;
inline constexpr Described<ByFields> tuple{{}, Json::value_t::array};

/// `least` to `most` elements, each `as`.
template <class As>
struct List {
  As as = {};
  std::size_t least = 0;
  std::size_t most = std::numeric_limits<std::size_t>::max();

  [[nodiscard]] Json write(const auto& values) const {
    auto list = Json::array();
    for (const auto& value : values) list.push_back(as.write(value));
    return list;
  }
  template <class T>
  void read(const Found& found, std::vector<T>& values) const {
    if (!found.value.is_array() || found.value.size() < least || found.value.size() > most)
      return found.refuse(wanted());
    values.resize(found.value.size());
    for (std::size_t n = 0; n < values.size(); ++n)
      as.read({found.value[n], {&found.place, {}, n}, found.findings}, values[n]);
  }

 private:
  [[nodiscard]] std::string wanted() const {
    if (least == 0 && most == std::numeric_limits<std::size_t>::max()) return "a list";
    return "a list of " + std::to_string(least) + " to " + std::to_string(most);
  }
};
template <class As>
List(As) -> List<As>;
template <class As>
List(As, std::size_t, std::size_t) -> List<As>;

template <class As>
struct OrNull {
  As as = {};

  template <class T>
  [[nodiscard]] Json write(const std::optional<T>& value) const {
    return value ? as.write(*value) : Json(nullptr);
  }
  template <class T>
  void read(const Found& found, std::optional<T>& value) const {
    value.reset();
    if (!found.value.is_null()) as.read({found.value, found.place, found.findings, true}, value.emplace());
  }
};
template <class As>
OrNull(As) -> OrNull<As>;

template <class T>
struct Usual : Described<ByFields> {};
template <class T>
struct Usual<std::vector<T>> : List<Usual<T>> {};
template <class T>
struct Usual<std::optional<T>> : OrNull<Usual<T>> {};

template <class T>
[[nodiscard]] Json written(const T& value) {
  return Usual<T>{}.write(value);
}

/// The value that `text` is one JSON object for, or every finding, up to as many as the rules allow.
template <class T, class As = Usual<T>>
[[nodiscard]] Result<T> read(std::string_view text, const Rules& rules, const As& as = {}) {
  const auto json = parse(text, rules);
  if (!json) return fail(json.error());
  Findings findings{rules};
  T value{};
  as.read({*json, {}, findings}, value);
  if (!findings.list.empty()) return fail(std::move(findings.list));
  return value;
}

}  // namespace noonfall::json
