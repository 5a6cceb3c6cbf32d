// How much darker than the whole disc a crescent is, all of it being near the limb.
#pragma once

#include "lib/base/units.h"

namespace noonfall::exposure {

/// The Moon before the Sun, in solar radii.
struct Crescent {
  double moon_radius = 1;
  double centre_distance = 0;  // between the two centres
};

/// Mean intensity of the visible part of the Sun over that of the disc's centre, at 541.76 nm (limb darkening
/// of Neckel & Labs 1994, Solar Physics 153, 91). Zero when nothing is visible.
[[nodiscard]] double mean_intensity(const Crescent& crescent);

/// How much longer to expose the crescent than the whole Sun; 0 to 2 stops, the bulletins' "up to two more
/// stops" (NASA RP 1369). Zero when nothing is visible.
[[nodiscard]] Stops crescent_stops(const Crescent& crescent);

}  // namespace noonfall::exposure
