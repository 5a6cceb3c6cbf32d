// Typed values out of fields: each reader takes one spelling, and says what was found and what is wanted.
// All of them answer an absent field with nothing and no error.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>

#include "lib/yaml/field.h"

namespace noonfall::yaml {

/// The text of a scalar. Nothing, an empty text, a list or a mapping are errors.
[[nodiscard]] std::optional<std::string> read_text(const Field& field, const std::string& wanted);

/// A text for people and logs: no control characters, at most `longest` code points.
[[nodiscard]] std::optional<std::string> read_line(const Field& field, std::size_t longest,
                                                   const std::string& wanted);

struct Range {
  double low;
  double high;  // both included
};

/// A bare number ("36.0139"), not in quotes. `wanted` is the whole hint, range included.
[[nodiscard]] std::optional<double> read_number(const Field& field, Range range, const std::string& wanted);
[[nodiscard]] std::optional<std::int64_t> read_integer(const Field& field, Range range,
                                                       const std::string& wanted);

/// A number and its unit ("600 mm", also "600mm"); the number in that unit.
[[nodiscard]] std::optional<double> read_quantity(const Field& field, std::string_view unit, Range range,
                                                  const std::string& wanted);

template <class Value>
struct Choice {
  std::string_view word;
  Value value;
};

/// The place of the text among `words`; the nearest word, or all of them, in the error.
[[nodiscard]] std::optional<std::size_t> read_word(const Field& field,
                                                   std::span<const std::string_view> words);

template <class Value, std::size_t size>
[[nodiscard]] std::optional<Value> read_choice(const Field& field, const Choice<Value> (&choices)[size]) {
  std::string_view words[size];
  for (std::size_t n = 0; n < size; ++n) words[n] = choices[n].word;
  const auto found = read_word(field, words);
  return found ? std::optional{choices[*found].value} : std::nullopt;
}

/// Says that `text` isn't what `wanted` describes, and why if it is a bare number.
void refuse_text(const Field& field, std::string_view text, const std::string& wanted);

/// Whatever `parse` (std::string_view -> std::optional) makes of the text: read_as(field, parse_duration,
/// "a duration like 10 s").
template <class Parse>
[[nodiscard]] auto read_as(const Field& field, Parse parse, const std::string& wanted)
    -> decltype(parse(std::string_view{})) {
  const auto text = read_text(field, wanted);
  if (!text) return std::nullopt;
  auto value = parse(std::string_view{*text});
  if (!value) refuse_text(field, *text, wanted);
  return value;
}

}  // namespace noonfall::yaml
