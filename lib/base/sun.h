// How large the Sun is, for contact times and image sizes.
#pragma once

#include "lib/base/units.h"

namespace noonfall {

/// Apparent radius at 1 au (Auwers 1891, used in the almanacs and eclipse bulletins).
inline constexpr Arcseconds auwers_solar_radius{959.63};

/// Of the photosphere's edge itself, for contacts with the Moon's real edge: flash spectra of 2017 (Quaglia
/// et al. 2021, Astrophys. J. Suppl. 256, 36; arXiv:2107.09416), within 0.05".
inline constexpr Arcseconds measured_solar_radius{959.95};

}  // namespace noonfall
