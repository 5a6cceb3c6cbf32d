// Steps of light as a plan writes them: "1 stop", "1/3 stop", "2 stops".
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "lib/base/units.h"

namespace noonfall::plan {

/// From 0.1 to 10 stops; halves and thirds may be written as fractions ("2/3 stop", "4/3 stops").
[[nodiscard]] std::optional<Stops> parse_stops(std::string_view text);

/// parse_stops reads it back to the same value.
[[nodiscard]] std::string to_text(Stops stops);

}  // namespace noonfall::plan
