// How the Moon is turned in space.
#pragma once

#include "lib/limb/directions.h"

namespace noonfall::limb {

/// The axes of the mean-Earth frame (x towards the Earth on average, z to lunar north) in the ICRF, at a
/// Julian date of TDB: the series of the IAU Working Group on Cartographic Coordinates and Rotational
/// Elements (Archinal et al. 2011, Celest. Mech. Dyn. Astr. 109, 101), kept for the Moon in its 2015 report.
[[nodiscard]] Matrix mean_earth_axes(double jd_tdb);

}  // namespace noonfall::limb
