// Instants as a plan writes them: "C2 - 8 s", "MID + 10 % of totality", "2027-08-02T08:45:00Z".
#pragma once

#include <string>
#include <string_view>

#include <tl/expected.hpp>

#include "lib/plan/plan.h"

namespace noonfall::plan {

/// The instant, or what is wrong with the text in the words of a message ("\"8\" is a bare number").
/// Offsets are at most 24 h, percentages at most 1000.
[[nodiscard]] tl::expected<InstantValue, std::string> parse_instant(std::string_view text);

/// The canonical text; parse_instant reads it back to the same value.
[[nodiscard]] std::string to_text(const Instant& instant);

/// A decimal number of at most 18 digits as parse_decimal reads it back: shortest, no exponent.
[[nodiscard]] std::string decimal_text(double value);

}  // namespace noonfall::plan
