// The one figure of the Sun that contact times and image sizes share.
#pragma once

#include "lib/base/units.h"

namespace noonfall {

/// Apparent radius at 1 au (Auwers 1891, used in the almanacs and eclipse bulletins).
inline constexpr Arcseconds auwers_solar_radius{959.63};

}  // namespace noonfall
