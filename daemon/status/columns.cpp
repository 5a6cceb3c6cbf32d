#include "daemon/status/columns.h"

#include <algorithm>

#include "lib/base/code_points.h"

namespace noonfall::status {
namespace {

struct Block {
  char32_t first;
  char32_t last;
};
constexpr Block wide_blocks[] = {{0x1100, 0x115F}, {0x2E80, 0xA4CF},   {0xAC00, 0xD7A3},
                                 {0xF900, 0xFAFF}, {0xFE30, 0xFE6F},   {0xFF00, 0xFF60},
                                 {0xFFE0, 0xFFE6}, {0x1F300, 0x1FAFF}, {0x20000, 0x3FFFD}};

/// The first code point of `text`, taken off it. What isn't UTF-8 counts byte by byte.
std::string_view take_character(std::string_view& text) {
  std::size_t size = 1;
  while (size < text.size() && size < 4 && continues_code_point(text[size])) ++size;
  const auto character = text.substr(0, size);
  text.remove_prefix(size);
  return character;
}

char32_t value_of(std::string_view character) {
  const auto lead = static_cast<unsigned char>(character.front());
  if (character.size() == 1) return lead;
  auto value = static_cast<char32_t>(lead & (0xFFU >> (character.size() + 1)));
  for (const char byte : character.substr(1))
    value = (value << 6U) | (static_cast<unsigned char>(byte) & 0x3FU);
  return value;
}

std::size_t width_of(std::string_view character) {
  const auto value = value_of(character);
  const bool wide = std::any_of(std::begin(wide_blocks), std::end(wide_blocks), [value](const Block& block) {
    return value >= block.first && value <= block.last;
  });
  return wide ? 2 : 1;
}

}  // namespace

std::size_t columns(std::string_view text) {
  std::size_t sum = 0;
  while (!text.empty()) sum += width_of(take_character(text));
  return sum;
}

std::string fitted(std::string_view text, std::size_t width) {
  if (columns(text) <= width) return std::string{text};
  if (width == 0) return {};
  std::string out;
  for (std::size_t used = 0; !text.empty();) {
    const auto character = take_character(text);
    used += width_of(character);
    if (used > width - 1) break;
    out += character;
  }
  return out + "…";
}

std::string padded(std::string_view text, std::size_t width) {
  auto out = fitted(text, width);
  return out + std::string(width - columns(out), ' ');
}

std::string spread(std::string_view left, std::string_view right, std::size_t width) {
  const auto end = fitted(right, width);
  const auto used = columns(end);
  if (used == 0) return fitted(left, width);
  if (used + 2 >= width) return end;
  return padded(left, width - used - 2) + "  " + end;
}

}  // namespace noonfall::status
