#include "lib/yaml/typed.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lib/base/code_points.h"
#include "lib/base/nearest_word.h"
#include "lib/base/number.h"

namespace noonfall::yaml {
namespace {

constexpr std::size_t longest_quoted = 60;

/// A text as a message quotes it: one line, not too long.
std::string quoted(std::string_view text) {
  std::string shown{text.substr(0, longest_quoted)};
  if (text.size() > longest_quoted) {
    while (!shown.empty() && continues_code_point(shown.back())) shown.pop_back();
    if (!shown.empty() && (static_cast<unsigned char>(shown.back()) & 0x80U) != 0) shown.pop_back();
    shown += "…";
  }
  std::replace_if(
      shown.begin(), shown.end(), [](char c) { return c == '\n' || c == '\t' || c == '\r'; }, ' ');
  return fmt::format("\"{}\"", shown);
}

bool in_quotes(const Field& field) {
  return std::get<Scalar>(field.node().value).quoted;
}

void refuse_range(const Field& field, std::string_view text, const std::string& wanted) {
  field.error("out-of-range", fmt::format("{} is out of range", quoted(text)), wanted);
}

/// The number in `digits`, part of `text`, within `range`; else an error.
std::optional<double> number_in(const Field& field, std::string_view text, std::string_view digits,
                                Range range, const std::string& wanted) {
  const auto value = parse_decimal(digits);
  if (!value) {
    field.error("bad-number", fmt::format("{} {}", quoted(text), why_not_a_number(digits)), wanted);
    return std::nullopt;
  }
  if (*value >= range.low && *value <= range.high) return value;
  refuse_range(field, text, wanted);
  return std::nullopt;
}

std::optional<std::string> unquoted_text(const Field& field, const std::string& wanted) {
  auto text = read_text(field, wanted);
  if (!text || !in_quotes(field)) return text;
  field.error("bad-number", fmt::format("{} in quotes is a text, not a number", quoted(*text)), wanted);
  return std::nullopt;
}

}  // namespace

std::optional<std::string> read_text(const Field& field, const std::string& wanted) {
  if (!field) return std::nullopt;
  const auto* scalar = std::get_if<Scalar>(&field.node().value);
  if (scalar && !trim(scalar->text).empty()) return scalar->text;
  field.error("wrong-kind", fmt::format("{} here", scalar ? "an empty text" : kind_of(field.node())), wanted);
  return std::nullopt;
}

std::optional<std::string> read_line(const Field& field, std::size_t longest, const std::string& wanted) {
  auto text = read_text(field, wanted);
  if (!text) return std::nullopt;
  if (text->find_first_of("\n\t") != std::string::npos) {
    field.error("bad-text", fmt::format("{} has a line end or a tab in it", quoted(*text)), wanted);
    return std::nullopt;
  }
  const auto length = code_points(*text);
  if (length <= longest) return text;
  field.error("bad-text", fmt::format("{} has {} characters", quoted(*text), length), wanted);
  return std::nullopt;
}

std::optional<double> read_number(const Field& field, Range range, const std::string& wanted) {
  const auto text = unquoted_text(field, wanted);
  return text ? number_in(field, *text, *text, range, wanted) : std::nullopt;
}

std::optional<std::int64_t> read_integer(const Field& field, Range range, const std::string& wanted) {
  const auto text = unquoted_text(field, wanted);
  if (!text || !number_in(field, *text, *text, range, wanted)) return std::nullopt;
  const auto value = parse_integer(*text);
  if (!value) field.error("bad-number", fmt::format("{} isn't a whole number", quoted(*text)), wanted);
  return value;
}

std::optional<double> read_quantity(const Field& field, std::string_view unit, Range range,
                                    const std::string& wanted) {
  const auto text = read_text(field, wanted);
  if (!text) return std::nullopt;
  std::string_view digits{*text};
  if (!digits.ends_with(unit)) {
    const bool bare = parse_decimal(digits).has_value();
    field.error("bad-unit", fmt::format("{} {}", quoted(*text), bare ? "has no unit" : "isn't understood"),
                wanted);
    return std::nullopt;
  }
  digits.remove_suffix(unit.size());
  if (digits.ends_with(' ')) digits.remove_suffix(1);
  return number_in(field, *text, digits, range, wanted);
}

std::optional<std::size_t> read_word(const Field& field, std::span<const std::string_view> words) {
  const auto all =
      words.size() == 1 ? std::string{words[0]} : fmt::format("one of {}", fmt::join(words, ", "));
  const auto text = read_text(field, all);
  if (!text) return std::nullopt;
  const auto found = std::find(words.begin(), words.end(), *text);
  if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
  const auto nearest = nearest_word(*text, words);
  field.error("unknown-word", fmt::format("{} isn't known", quoted(*text)), nearest.empty() ? all : nearest);
  return std::nullopt;
}

void refuse_text(const Field& field, std::string_view text, const std::string& wanted) {
  const bool bare = parse_decimal(text).has_value();
  field.error("bad-value", fmt::format("{} {}", quoted(text), bare ? "is a bare number" : "isn't understood"),
              wanted);
}

}  // namespace noonfall::yaml
