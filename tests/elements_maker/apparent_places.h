// Where Sun and Moon seem to stand from the Earth's centre: light time, aberration, precession and nutation.
#pragma once

#include "tests/elements_maker/ephemeris.h"

namespace noonfall::elements_maker {

/// Earth radii, axes of the true equator and equinox of date.
struct ApparentPlaces {
  Vector sun;
  Vector moon;
  double sidereal_rad;  // apparent, at Greenwich were UT1 equal to TT
};

/// IAU 2006/2000A by ERFA. The distances are those the light covered.
[[nodiscard]] ApparentPlaces apparent_places(const Ephemeris& ephemeris, const Epoch& tt);

}  // namespace noonfall::elements_maker
