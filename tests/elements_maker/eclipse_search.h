// Which new moons are solar eclipses: where the Moon's penumbra comes nearest to the Earth's centre.
#pragma once

#include <vector>

#include "tests/elements_maker/besselian.h"

namespace noonfall::elements_maker {

/// The shadow's axis at its least distance from the Earth's centre.
struct GreatestEclipse {
  Epoch tt;
  double gamma;  // that distance in Earth radii, north positive
};

/// Every new moon between two MJDs of TT at which the penumbra touches the Earth, oldest first.
[[nodiscard]] std::vector<GreatestEclipse> find_eclipses(const Ephemeris& ephemeris, double first_mjd,
                                                         double last_mjd);

}  // namespace noonfall::elements_maker
