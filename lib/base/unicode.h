// What Unicode says of a character, so far as it matters here: its category, and what it is made of.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace noonfall {

struct Character {
  std::optional<char32_t> value;  // none: a byte that isn't UTF-8
  std::string_view bytes;
};
/// The first one of `text`, which isn't empty, taken off it.
[[nodiscard]] Character take_character(std::string_view& text);

/// Controls, format characters, line separators and whatever else has no shape of its own.
[[nodiscard]] bool is_invisible(char32_t character);
/// Letters and digits, not the marks on them.
[[nodiscard]] bool is_letter_or_digit(char32_t character);

/// Compatibility forms and accented letters taken apart (NFKD, UAX 15): full-width, ligature and mathematical
/// letters become the plain ones. What isn't UTF-8 becomes spaces.
[[nodiscard]] std::string taken_apart(std::string_view text);

/// The lower-case letter of one; anything else stays.
[[nodiscard]] char32_t lower_case(char32_t character);

/// As bytes of UTF-8.
[[nodiscard]] std::string to_utf8(char32_t character);

}  // namespace noonfall
