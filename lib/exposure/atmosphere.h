// What the air takes from a low Sun.
#pragma once

#include "lib/base/units.h"

namespace noonfall::exposure {

/// Relative air mass after Kasten & Young 1989 (Applied Optics 28, 4735), from the apparent altitude. Below
/// the horizon as on it.
[[nodiscard]] double airmass(Degrees apparent_altitude);

/// Clear air at sea level, visual magnitudes per unit of air mass (from memory: 0.12 on a mountain, 0.5 in
/// haze).
inline constexpr double clear_air_magnitudes = 0.2;

/// Light lost on the way through the air.
[[nodiscard]] Stops extinction(Degrees apparent_altitude,
                               double magnitudes_per_airmass = clear_air_magnitudes);

/// How much longer to expose than with the Sun at 60 degrees, where exposures are usually tried out; zero
/// above.
[[nodiscard]] Stops low_sun_stops(Degrees apparent_altitude,
                                  double magnitudes_per_airmass = clear_air_magnitudes);

}  // namespace noonfall::exposure
