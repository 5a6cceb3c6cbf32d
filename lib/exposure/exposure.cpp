#include "lib/exposure/exposure.h"

#include <cmath>
#include <numeric>

#include <fmt/format.h>

#include "lib/base/number.h"
#include "lib/exposure/scale.h"

namespace noonfall::exposure {
namespace {

constexpr Shutter shortest{1, 64000};
constexpr Shutter longest{900, 1};
constexpr std::int64_t decimal_grain = 1'000'000;  // "0.000016 s" is the finest decimal we read or write

std::optional<Shutter> in_lowest_terms(std::int64_t numerator, std::int64_t denominator) {
  if (numerator <= 0 || denominator <= 0) return std::nullopt;
  const auto common = std::gcd(numerator, denominator);
  numerator /= common;
  denominator /= common;
  if (numerator > 900 * decimal_grain || denominator > 64000 * decimal_grain) return std::nullopt;
  if (denominator > INT32_MAX) return std::nullopt;
  const Shutter shutter{static_cast<std::int32_t>(numerator), static_cast<std::int32_t>(denominator)};
  if (shorter(shutter, shortest) || shorter(longest, shutter)) return std::nullopt;
  return shutter;
}

/// Digits only: no sign.
std::optional<std::int64_t> parse_count(std::string_view text) {
  if (text.empty() || text.front() < '0' || text.front() > '9') return std::nullopt;
  return parse_integer(text);
}

std::optional<Shutter> parse_decimal_seconds(std::string_view text) {
  const auto point = text.find('.');
  if (text.empty() || text.front() < '0' || text.front() > '9') return std::nullopt;
  if (point != std::string_view::npos && text.size() - point - 1 > 6) return std::nullopt;
  const auto seconds = parse_decimal(text);
  if (!seconds || *seconds > 900) return std::nullopt;
  return in_lowest_terms(std::llround(*seconds * static_cast<double>(decimal_grain)), decimal_grain);
}

/// "2 s" -> "2"; the text itself when it has no unit.
std::string_view without_seconds(std::string_view text) {
  if (text.ends_with('s')) text = trim(text.substr(0, text.size() - 1));
  return text;
}

}  // namespace

double nominal_seconds(Shutter shutter) {
  return static_cast<double>(shutter.numerator) / shutter.denominator;
}

std::string to_text(Shutter shutter) {
  const bool plain_fraction = shutter.numerator == 1 && shutter.denominator > 2;
  const bool needs_exponent = nominal_seconds(shutter) < 1e-4;  // as a decimal: "9e-05"
  if (plain_fraction || needs_exponent || decimal_grain % shutter.denominator != 0) {
    return fmt::format("{}/{}", shutter.numerator, shutter.denominator);
  }
  return fmt::format("{} s", nominal_seconds(shutter));
}

std::string to_text(FNumber aperture) {
  return fmt::format("f/{}", aperture.tenths / 10.0);
}

std::string to_text(Iso iso) {
  return fmt::format("ISO {}", iso.value);
}

std::string to_text(const Exposure& exposure) {
  const auto aperture = exposure.aperture ? " " + to_text(*exposure.aperture) : std::string{};
  return to_text(exposure.shutter) + aperture + " " + to_text(exposure.iso);
}

std::optional<Shutter> parse_shutter(std::string_view text) {
  const auto number = without_seconds(text);
  const auto slash = number.find('/');
  if (slash == std::string_view::npos) {
    return number.size() == text.size() ? std::nullopt : parse_decimal_seconds(number);
  }
  const auto numerator = parse_count(number.substr(0, slash));
  const auto denominator = parse_count(number.substr(slash + 1));
  return numerator && denominator ? in_lowest_terms(*numerator, *denominator) : std::nullopt;
}

std::optional<FNumber> parse_f_number(std::string_view text) {
  if (!text.starts_with("f/")) return std::nullopt;
  const auto number = text.substr(2);
  const auto point = number.find('.');
  if (number.empty() || number.front() < '0' || number.front() > '9') return std::nullopt;
  if (point != std::string_view::npos && number.size() - point != 2) return std::nullopt;
  const auto value = parse_decimal(number);
  if (!value || *value < 0.65 || *value > 128) return std::nullopt;
  return FNumber{static_cast<std::int32_t>(std::lround(*value * 10))};
}

std::optional<Iso> parse_iso(std::string_view text) {
  const auto value = parse_count(text);
  if (!value || *value < 6 || *value > 409600) return std::nullopt;
  return Iso{static_cast<std::int32_t>(*value)};
}

}  // namespace noonfall::exposure
