// What a computation of contacts takes for granted: the Earth's turning, the Sun's radius, how sure the
// inputs are.
#pragma once

#include <optional>

#include "lib/base/units.h"
#include "lib/time/leap_seconds.h"

namespace noonfall::contacts {

/// Every error is a 95 % half-width.
struct Settings {
  LeapSeconds leap_seconds = built_in_leap_seconds();
  Duration dut1{};                          // UT1 − UTC; ignored where the elements bring their own Delta T
  Duration dut1_error = from_seconds(0.3);  // unknown years ahead; 0.01 s where taken from a bulletin
  std::optional<Arcseconds> solar_radius;   // at 1 au; else the one the elements were made with
  Metres position_error{30};                // horizontally, in any direction
  Metres height_error{50};
  Metres geoid_error{0};  // where a height above sea level stands for one above the ellipsoid
};

}  // namespace noonfall::contacts
