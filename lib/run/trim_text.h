// By how much an operator makes a rig's frames brighter or darker, as text.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace noonfall::run {

/// Stops in halves or thirds, from -6 to 6: "-1", "+0.5", "2/3", "+3/2". Empty when refused.
[[nodiscard]] std::optional<double> parse_trim(std::string_view text);

/// "+1/3 stop", "-1.5 stops", "0 stops": always with its sign and unit. What parse_trim gave reads back to
/// the same value.
[[nodiscard]] std::string trim_text(double stops);

}  // namespace noonfall::run
