#include "lib/plan/stops_text.h"

#include <cmath>

#include <fmt/format.h>

#include "lib/base/number.h"
#include "lib/plan/instant_text.h"

namespace noonfall::plan {
namespace {

constexpr double fewest = 0.1;
constexpr double most = 10;

std::optional<double> parse_fraction(std::string_view numerator, std::string_view denominator) {
  const auto upper = parse_integer(numerator);
  if (!upper || (denominator != "2" && denominator != "3")) return std::nullopt;
  return static_cast<double>(*upper) / (denominator == "2" ? 2.0 : 3.0);
}

}  // namespace

std::optional<Stops> parse_stops(std::string_view text) {
  for (const std::string_view unit : {"stops", "stop"}) {
    if (!text.ends_with(unit)) continue;
    const auto number = trim(text.substr(0, text.size() - unit.size()));
    const auto slash = number.find('/');
    const auto value = slash == std::string_view::npos
                           ? parse_decimal(number)
                           : parse_fraction(number.substr(0, slash), number.substr(slash + 1));
    if (!value || *value < fewest || *value > most) return std::nullopt;
    return Stops{*value};
  }
  return std::nullopt;
}

std::string to_text(Stops stops) {
  const auto unit = stops.value <= 1 ? "stop" : "stops";
  const auto thirds = std::lround(stops.value * 3);
  const bool in_thirds = thirds % 3 != 0 && static_cast<double>(thirds) / 3.0 == stops.value;
  if (in_thirds) return fmt::format("{}/3 {}", thirds, unit);
  return fmt::format("{} {}", decimal_text(stops.value), unit);
}

}  // namespace noonfall::plan
