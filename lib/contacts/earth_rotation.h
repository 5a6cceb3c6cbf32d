// How far the Earth's turning is from UTC on some day: a small table of the past, and a guess where it ends.
#pragma once

#include "lib/time/leap_seconds.h"

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

}  // namespace noonfall::contacts
