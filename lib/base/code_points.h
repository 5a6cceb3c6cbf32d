// Text counted as people see it: in code points of UTF-8, not in bytes.
#pragma once

#include <algorithm>
#include <cstddef>
#include <string_view>

namespace noonfall {

inline constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

/// Whether this byte of UTF-8 belongs to the code point begun by an earlier one.
constexpr bool continues_code_point(char byte) {
  return (static_cast<unsigned char>(byte) & 0xC0U) == 0x80U;
}

/// Bytes that aren't UTF-8 count as one each, unless they look like a continuation.
constexpr std::size_t code_points(std::string_view text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return !continues_code_point(c); }));
}

/// The whole code points among the first `most` bytes.
constexpr std::string_view first_bytes(std::string_view text, std::size_t most) {
  if (text.size() <= most) return text;
  while (most > 0 && continues_code_point(text[most])) --most;
  return text.substr(0, most);
}

}  // namespace noonfall
