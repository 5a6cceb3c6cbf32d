// Spans of time as people write them: "250 ms", "10 s", "1 min 30 s", "2 h".
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "lib/time/utc.h"

namespace noonfall {

/// One or more "NUMBER UNIT" parts, units h, min, s, ms, us, each at most once, larger first, numbers without
/// sign and decimal ("1.5 s"; only the last part may have a fraction). Space between number and unit is
/// optional. At most 1000 h. Empty when refused; a bare number is refused.
[[nodiscard]] std::optional<Duration> parse_duration(std::string_view text);

/// The shortest text that parse_duration reads back to the same value: "0 s", "90 s" is "1 min 30 s".
/// A negative span gets a leading "-" (which parse_duration refuses: signs belong to the instant).
[[nodiscard]] std::string to_text(Duration span);

}  // namespace noonfall
