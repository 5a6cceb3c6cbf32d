// What a computation of contacts takes for granted: the Earth's turning, the Sun's radius, how sure the
// inputs are.
#pragma once

#include <optional>

#include "lib/base/sun.h"
#include "lib/base/units.h"
#include "lib/time/leap_seconds.h"

namespace noonfall::contacts {

/// Which edge of the Moon C2 and C3 are computed with: a circle of radius k2, or the mountains and valleys
/// seen from the site.
enum class Limb { mean, profile };

/// Every error is a 95 % half-width.
struct Settings {
  LeapSeconds leap_seconds = built_in_leap_seconds();
  Duration dut1{};                          // UT1 − UTC; ignored where the elements bring their own Delta T
  Duration dut1_error = from_seconds(0.3);  // unknown years ahead
  Arcseconds solar_radius = auwers_solar_radius;  // at 1 au
  Limb limb = Limb::mean;
  Metres position_error{30};  // horizontally, in any direction
  Metres height_error{50};
  Metres geoid_error{0};  // where a height above sea level stands for one above the ellipsoid
};

/// What a height given by a person is measured from.
enum class HeightDatum { sea_level, ellipsoid };

/// The usual settings, with what the inputs bring: `dut1` as a bulletin gave it, else unknown; sea-level
/// heights taken as ellipsoidal, and what that may cost.
[[nodiscard]] Settings settings_for(const LeapSeconds& leap_seconds, std::optional<Duration> dut1,
                                    HeightDatum datum);

}  // namespace noonfall::contacts
