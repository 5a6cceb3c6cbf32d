#include "lib/base/plain_text.h"

#include "lib/base/unicode.h"

namespace noonfall {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";

/// XML 1.0 and HTML forbid most of them (Unicode standard, section 23.7).
bool is_noncharacter(char32_t character) {
  return (character & 0xFFFEU) == 0xFFFEU || (character >= 0xFDD0 && character <= 0xFDEF);
}

bool is_shown(char32_t character) {
  if (is_noncharacter(character)) return false;
  if (character >= 0xFE00 && character <= 0xFE0F) return true;  // variation selectors
  return !is_invisible(character);
}

}  // namespace

std::string plain_line(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const auto [character, bytes] = take_character(text);
    if (character == U'\t') {
      out += ' ';
    } else {
      out += character && is_shown(*character) ? bytes : replacement;
    }
  }
  return out;
}

std::string markup_text(std::string_view text) {
  std::string out;
  for (const char c : plain_line(text)) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

}  // namespace noonfall
