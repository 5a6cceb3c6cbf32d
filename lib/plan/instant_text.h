// Instants and steps of light as a plan writes them: "C2 - 8 s", "MID + 10 % of totality", "1/3 stop".
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include <tl/expected.hpp>

#include "lib/base/units.h"
#include "lib/plan/plan.h"

namespace noonfall::plan {

/// The instant, or what is wrong with the text in the words of a message ("\"8\" is a bare number").
/// Offsets are at most 24 h, percentages at most 1000.
[[nodiscard]] tl::expected<InstantValue, std::string> parse_instant(std::string_view text);

/// The canonical text; parse_instant reads it back to the same value.
[[nodiscard]] std::string to_text(const Instant& instant);

/// A decimal number of at most 18 digits as parse_decimal reads it back: shortest, no exponent.
[[nodiscard]] std::string decimal_text(double value);

/// From 0.1 to 10 stops; halves and thirds may be written as fractions ("2/3 stop", "4/3 stops").
[[nodiscard]] std::optional<Stops> parse_stops(std::string_view text);

/// parse_stops reads it back to the same value.
[[nodiscard]] std::string to_text(Stops stops);

}  // namespace noonfall::plan
