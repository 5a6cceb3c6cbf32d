// How far the Earth's turning is from UTC on some day: a small table of the past, and a guess where it ends.
#pragma once

#include <optional>

#include "lib/time/time_scales.h"
#include "lib/time/utc_text.h"

namespace noonfall::contacts {

/// Errors are 95 % half-widths.
struct EarthRotation {
  Duration dut1{};               // UT1 − UTC
  Duration error{};              // of `dut1`
  Duration leap_second_error{};  // of UTC itself: the leap seconds that may come and nobody has announced
};

/// From `delta_t.csv`: TT − UT1, which has no leaps, four times a year and linear between. Its values are
/// IERS 14 C04's (1972 to 2022-10) and, from memory, Bulletin A's after. Beyond the last one the trend of its
/// last two years goes on. Before leap seconds UTC kept to UT1 by itself, within 0.2 s.
[[nodiscard]] EarthRotation expected_rotation(Utc instant, const LeapSeconds& leap_seconds);

/// At noon of the day, from 1960 to 1971; empty for other years. That UTC kept to the Earth's turning within
/// 0.2 s, so it serves for Delta T as well.
[[nodiscard]] std::optional<Duration> early_tt_minus_utc(Date date);

}  // namespace noonfall::contacts
