#include "lib/base/unicode.h"

#include <cstdlib>
#include <memory>
#include <new>

#include <utf8proc.h>

namespace noonfall {
namespace {

const utf8proc_uint8_t* bytes_of(std::string_view text) {
  return reinterpret_cast<const utf8proc_uint8_t*>(text.data());
}

std::string well_formed(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const auto [value, bytes] = take_character(text);
    out += value ? bytes : std::string_view{" "};
  }
  return out;
}

}  // namespace

Character take_character(std::string_view& text) {
  utf8proc_int32_t value = -1;
  const auto size = utf8proc_iterate(bytes_of(text), static_cast<utf8proc_ssize_t>(text.size()), &value);
  const auto bytes = text.substr(0, size > 0 ? static_cast<std::size_t>(size) : 1);
  text.remove_prefix(bytes.size());
  if (size <= 0) return {std::nullopt, bytes};
  return {static_cast<char32_t>(value), bytes};
}

bool is_invisible(char32_t character) {
  const auto* property = utf8proc_get_property(static_cast<utf8proc_int32_t>(character));
  switch (property->category) {
    case UTF8PROC_CATEGORY_CC:
    case UTF8PROC_CATEGORY_CF:
    case UTF8PROC_CATEGORY_CS:
    case UTF8PROC_CATEGORY_ZL:
    case UTF8PROC_CATEGORY_ZP:
      return true;
    default:
      return property->ignorable != 0;
  }
}

bool is_letter_or_digit(char32_t character) {
  const auto category = utf8proc_category(static_cast<utf8proc_int32_t>(character));
  return (category >= UTF8PROC_CATEGORY_LU && category <= UTF8PROC_CATEGORY_LO) ||
         (category >= UTF8PROC_CATEGORY_ND && category <= UTF8PROC_CATEGORY_NO);
}

std::string taken_apart(std::string_view text) {
  const auto source = well_formed(text);
  utf8proc_uint8_t* mapped = nullptr;
  const auto size =
      utf8proc_map(bytes_of(source), static_cast<utf8proc_ssize_t>(source.size()), &mapped,
                   static_cast<utf8proc_option_t>(UTF8PROC_STABLE | UTF8PROC_COMPAT | UTF8PROC_DECOMPOSE));
  const std::unique_ptr<utf8proc_uint8_t, decltype(&std::free)> owned{mapped, &std::free};
  if (size < 0) throw std::bad_alloc{};
  return {reinterpret_cast<const char*>(mapped), static_cast<std::size_t>(size)};
}

char32_t lower_case(char32_t character) {
  return static_cast<char32_t>(utf8proc_tolower(static_cast<utf8proc_int32_t>(character)));
}

std::string to_utf8(char32_t character) {
  utf8proc_uint8_t bytes[4];
  const auto size = utf8proc_encode_char(static_cast<utf8proc_int32_t>(character), bytes);
  return {reinterpret_cast<const char*>(bytes), static_cast<std::size_t>(size)};
}

}  // namespace noonfall
