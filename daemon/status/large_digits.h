// A countdown in digits five rows high.
#pragma once

#include <array>
#include <string>

#include "lib/time/utc.h"

namespace noonfall::status {

inline constexpr std::size_t digit_rows = 5;

/// "2:03:24" or "3:24", rounded up; "0:00" for nothing left.
[[nodiscard]] std::string clock_span(Duration left);

/// Each row as wide as the others.
[[nodiscard]] std::array<std::string, digit_rows> large_digits(const std::string& digits_and_colons);

}  // namespace noonfall::status
