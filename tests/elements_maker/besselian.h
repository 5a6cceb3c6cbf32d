// The Moon's shadow at one instant, as Besselian elements describe it.
#pragma once

#include "tests/elements_maker/apparent_places.h"

namespace noonfall::elements_maker {

/// The constants behind the elements: those of contacts::Elements, and Auwers' radius of the Sun.
struct Radii {
  double k1 = 0.272488;
  double k2 = 0.272281;
  double sun = 0;  // Earth radii
};
[[nodiscard]] Radii usual_radii(double au_km);

/// Earth radii and degrees; the names are those of contacts::Elements.
struct ShadowNow {
  double x, y;
  double d, mu;
  double l1, l2;
  double tan_f1, tan_f2;
};

/// Explanatory Supplement to the Astronomical Almanac, 3rd ed., 11.3.
[[nodiscard]] ShadowNow shadow_now(const ApparentPlaces& places, const Radii& radii);

}  // namespace noonfall::elements_maker
