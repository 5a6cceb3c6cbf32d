#include "lib/base/number.h"

#include <algorithm>
#include <charconv>

namespace noonfall {
namespace {

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}
bool all_digits(std::string_view text) {
  return std::all_of(text.begin(), text.end(), is_digit);
}

std::string_view without_sign(std::string_view text) {
  if (text.starts_with('-') || text.starts_with('+')) text.remove_prefix(1);
  return text;
}

}  // namespace

std::string_view why_not_a_number(std::string_view text) {
  const auto digits = without_sign(text);
  const auto point = digits.find('.');
  const auto whole = digits.substr(0, point);
  const bool pointed = point != std::string_view::npos;
  const auto fraction = pointed ? digits.substr(point + 1) : std::string_view{};
  if (whole.empty() || (pointed && fraction.empty()) || !all_digits(whole) || !all_digits(fraction)) {
    return "is not a plain decimal number";
  }
  if (whole.size() > 1 && whole.front() == '0') return "has a leading zero";
  if (whole.size() + fraction.size() > 18) return "has too many digits";
  return {};
}

std::optional<double> parse_decimal(std::string_view text) {
  if (!why_not_a_number(text).empty()) return std::nullopt;
  if (text.starts_with('+')) text.remove_prefix(1);
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return value;
}

std::optional<std::int64_t> parse_integer(std::string_view text) {
  if (!why_not_a_number(text).empty() || text.find('.') != std::string_view::npos) return std::nullopt;
  if (text.starts_with('+')) text.remove_prefix(1);
  std::int64_t value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return value;
}

std::string_view trim(std::string_view text) {
  const auto from = text.find_first_not_of(" \t\r\n");
  if (from == std::string_view::npos) return {};
  return text.substr(from, text.find_last_not_of(" \t\r\n") - from + 1);
}

}  // namespace noonfall
