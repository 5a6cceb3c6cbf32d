#include "lib/run/trim_text.h"

#include <cmath>
#include <cstdlib>

#include <fmt/format.h>

#include "lib/base/number.h"

namespace noonfall::run {
namespace {

constexpr int parts = 6;  // of a stop: halves and thirds are whole numbers of them
constexpr int most = 6 * parts;

/// In sixths, sign aside.
std::optional<double> parse_size(std::string_view text) {
  const auto slash = text.find('/');
  const auto number = parse_decimal(text.substr(0, slash));
  if (!number || text.starts_with('-') || text.starts_with('+')) return std::nullopt;
  if (slash == std::string_view::npos) return *number * parts;
  const auto divisor = text.substr(slash + 1);
  if ((divisor != "2" && divisor != "3") || *number != std::floor(*number)) return std::nullopt;
  return *number * parts / (divisor == "2" ? 2 : 3);
}

}  // namespace

std::optional<double> parse_trim(std::string_view text) {
  const bool darker = text.starts_with('-');
  if (darker || text.starts_with('+')) text.remove_prefix(1);
  const auto sixths = parse_size(text);
  if (!sixths || *sixths > most || *sixths != std::floor(*sixths)) return std::nullopt;
  const auto whole = static_cast<int>(*sixths);
  if (whole % 2 != 0 && whole % 3 != 0) return std::nullopt;
  const double stops = static_cast<double>(whole) / parts;
  return darker && whole != 0 ? -stops : stops;
}

std::string trim_text(double stops) {
  const auto sixths = std::abs(static_cast<int>(std::lround(stops * parts)));
  const char* sign = sixths == 0 ? "" : stops < 0 ? "-" : "+";
  const char* unit = sixths > 0 && sixths <= parts ? "stop" : "stops";
  if (sixths % 3 != 0) return fmt::format("{}{}/3 {}", sign, sixths / 2, unit);
  return fmt::format("{}{}{} {}", sign, sixths / parts, sixths % parts == 0 ? "" : ".5", unit);
}

}  // namespace noonfall::run
