// The additive system of exposure (APEX, ANSI PH2.12; Exif uses it): every quantity as a power of two.
#pragma once

#include "lib/base/units.h"
#include "lib/exposure/exposure.h"

namespace noonfall::exposure {

/// Av = 2 log2 N, Tv = -log2 t, Sv = log2(ISO / 3.125), all from exact values.
[[nodiscard]] Stops aperture_value(FNumber aperture);
[[nodiscard]] Stops time_value(Shutter shutter);
[[nodiscard]] Stops speed_value(Iso iso);

/// Ev = Av + Tv. Without an f-number only Tv.
[[nodiscard]] Stops exposure_value(const Exposure& exposure);

/// How much more (+) or less (-) light `b` records than `a`. An f-number missing on either side counts as
/// unchanged.
[[nodiscard]] Stops stops_between(const Exposure& a, const Exposure& b);

}  // namespace noonfall::exposure
