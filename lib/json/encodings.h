// How plain values, words, instants and spans stand in JSON: each encoding once, with its bounds.
#pragma once

#include <array>
#include <concepts>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>

#include "lib/json/fields.h"
#include "lib/time/boot_clock.h"
#include "lib/time/utc.h"
#include "lib/time/utc_text.h"

namespace noonfall::json {

/// Any text; written, one over `longest` bytes is cut between characters.
struct Text {
  std::size_t longest = std::numeric_limits<std::size_t>::max();

  [[nodiscard]] Json write(std::string_view text) const;
  void read(const Found& found, std::string& text) const;
};

struct Flag {
  [[nodiscard]] Json write(bool value) const { return value; }
  void read(const Found& found, bool& value) const;
};

struct Whole {
  std::int64_t least = std::numeric_limits<std::int64_t>::min();
  std::int64_t most = std::numeric_limits<std::int64_t>::max();

  [[nodiscard]] Json write(std::integral auto number) const { return number; }
  template <std::integral T>
  void read(const Found& found, T& number) const {
    using Limits = std::numeric_limits<T>;
    const Whole bounds{std::max<std::int64_t>(least, Limits::min()),
                       std::min<std::int64_t>(most, Limits::max())};
    if (const auto read = bounds.number(found)) number = static_cast<T>(*read);
  }
  void read(const Found& found, std::uint64_t& number) const;

 private:
  [[nodiscard]] std::optional<std::int64_t> number(const Found& found) const;
};

/// The version of a format: what is of another one isn't looked at further.
struct Version {
  int known;
  std::string_view remedy = {};  // "name another folder"
  int oldest = known;            // that is read too

  [[nodiscard]] Json write(int version) const { return version; }
  void read(const Found& found, int& version) const;
};

struct Number {
  double least = std::numeric_limits<double>::lowest();
  double most = std::numeric_limits<double>::max();

  [[nodiscard]] Json write(double number) const { return number; }
  void read(const Found& found, double& number) const;
};

/// Whole microseconds, since 1970 or since boot if it is an instant, within 250 years, so that sums of a few
/// stay far from overflow; what lies further out is written as that.
struct Us {
  [[nodiscard]] Json write(Duration span) const;
  void read(const Found& found, Duration& span) const;
  template <class Clock>
  [[nodiscard]] Json write(std::chrono::time_point<Clock, Duration> instant) const {
    return write(instant.time_since_epoch());
  }
  template <class Clock>
  void read(const Found& found, std::chrono::time_point<Clock, Duration>& instant) const {
    Duration since{};
    read(found, since);
    instant = std::chrono::time_point<Clock, Duration>{since};
  }
};
inline constexpr Us us;

/// A span as a number of units of so many microseconds.
struct Span {
  double unit_us;
  Number bounds;

  [[nodiscard]] Json write(Duration span) const { return static_cast<double>(span.count()) / unit_us; }
  void read(const Found& found, Duration& span) const {
    double units = in_seconds(span) * 1e6 / unit_us;
    bounds.read(found, units);
    span = from_seconds(units * unit_us / 1e6);
  }
};
inline constexpr Span seconds{1e6, {-1e9, 1e9}};
inline constexpr Span milliseconds{1e3, {-1e9, 1e9}};

/// One of `count` words, in turn for the numbers from 0; empty, and a finding, for any other.
[[nodiscard]] std::optional<std::size_t> choice(const Found& found, std::span<const std::string_view> words,
                                                std::string_view code = {});

/// An enum counted from 0 to `last`, by the words that to_text() has for it.
template <class Enum>
struct Words {
  Enum last;

  [[nodiscard]] Json write(Enum value) const { return to_text(value); }
  void read(const Found& found, Enum& value) const {
    std::vector<std::string_view> words;
    for (std::size_t n = 0; n <= static_cast<std::size_t>(last); ++n)
      words.push_back(to_text(static_cast<Enum>(n)));
    if (const auto n = choice(found, words)) value = static_cast<Enum>(*n);
  }
};
template <class Enum>
Words(Enum) -> Words<Enum>;

/// One of two words for yes and no.
struct Either {
  std::string_view yes;
  std::string_view no;

  [[nodiscard]] Json write(bool value) const { return value ? yes : no; }
  void read(const Found& found, bool& value) const {
    const std::array<std::string_view, 2> words{yes, no};
    if (const auto n = choice(found, words)) value = *n == 0;
  }
};

/// One of two values as true or false.
template <auto yes, auto no>
struct TrueFor {
  [[nodiscard]] Json write(const auto& value) const { return value != no; }
  void read(const Found& found, auto& value) const {
    bool is_yes = value != no;
    Flag{}.read(found, is_yes);
    value = is_yes ? yes : no;
  }
};

/// Which alternative of a variant: each has a word. Read, the variant becomes that alternative, unset.
template <std::size_t size>
struct Alternative {
  std::array<std::string_view, size> words;
  std::string_view code = {};  // of the finding about another word, where it isn't the usual one

  template <class... T>
  [[nodiscard]] Json write(const std::variant<T...>& value) const {
    static_assert(sizeof...(T) == size);
    return words[value.index()];
  }
  template <class... T>
  void read(const Found& found, std::variant<T...>& value) const {
    const auto chosen = choice(found, words, found.value.is_string() ? code : "");
    if (chosen) make(value, *chosen, std::index_sequence_for<T...>{});
  }

 private:
  template <class Variant, std::size_t... n>
  static void make(Variant& value, std::size_t chosen, std::index_sequence<n...> /*all*/) {
    ((n == chosen ? void(value.template emplace<n>()) : void()), ...);
  }
};

/// A value by the text that to_text(), or `print`, has for it and `parse` reads.
template <auto parse, auto print = nullptr>
struct Spelled {
  std::string_view wanted;

  [[nodiscard]] Json write(const auto& value) const {
    if constexpr (std::is_null_pointer_v<decltype(print)>)
      return to_text(value);
    else
      return print(value);
  }
  void read(const Found& found, auto& value) const {
    const auto* text = found.value.template get_ptr<const std::string*>();
    const auto parsed = text == nullptr ? decltype(parse(""))() : parse(*text);
    if (!parsed) return found.refuse(wanted);
    value = *parsed;
  }
};
inline constexpr Spelled<parse_utc, to_text_us> utc{"an instant like \"2027-08-02T08:51:12.345678Z\""};

template <>
struct Usual<std::string> : Text {};
template <>
struct Usual<bool> : Flag {};
template <>
struct Usual<double> : Number {};
template <std::integral T>
struct Usual<T> : Whole {};
template <>
struct Usual<Date> : Spelled<parse_date> {
  Usual() : Spelled{"a date like \"2027-08-02\""} {}
};

}  // namespace noonfall::json
