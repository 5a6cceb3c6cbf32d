#include "lib/exposure/atmosphere.h"

#include <algorithm>
#include <cmath>

namespace noonfall::exposure {
namespace {

constexpr Degrees tried_out_at{60};

}  // namespace

double airmass(Degrees apparent_altitude) {
  const Degrees altitude{std::clamp(apparent_altitude.value, 0.0, 90.0)};
  const double zenith_angle_deg = 90 - altitude.value;
  return 1 / (std::sin(radians(altitude)) + 0.50572 * std::pow(96.07995 - zenith_angle_deg, -1.6364));
}

Stops extinction(Degrees apparent_altitude, double magnitudes_per_airmass) {
  const double stops_per_magnitude = 0.4 * std::log2(10.0);
  return {magnitudes_per_airmass * airmass(apparent_altitude) * stops_per_magnitude};
}

Stops low_sun_stops(Degrees apparent_altitude, double magnitudes_per_airmass) {
  const double more = extinction(apparent_altitude, magnitudes_per_airmass).value -
                      extinction(tried_out_at, magnitudes_per_airmass).value;
  return {std::max(0.0, more)};
}

}  // namespace noonfall::exposure
