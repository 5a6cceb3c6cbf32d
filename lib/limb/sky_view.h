// How an observer sees the Moon and the Sun behind it at one instant, from Besselian elements.
#pragma once

#include "lib/contacts/shadow.h"
#include "lib/limb/profile.h"

namespace noonfall::limb {

/// The Moon's disc before anything is known of its mountains.
struct MoonView {
  Viewpoint from;
  Degrees north_angle;  // position angle of lunar north from celestial north, in the shadow's frame
};

/// `t` in hours of TT from t0 of the elements `shadow` was made of.
[[nodiscard]] MoonView moon_view(const contacts::Elements& elements, const contacts::Shadow& shadow,
                                 const contacts::Observer& observer, double t);

/// Sun and Moon as angles from the observer, radians; the Sun's centre lies `offset` from the Moon's, towards
/// the position angle with this sine and cosine.
struct Discs {
  double offset;
  double sine, cosine;
  double sun_radius;
  double moon_distance_km;

  /// Of a Moon with a smooth edge of `k` Earth radii.
  [[nodiscard]] double mean_moon_radius(double k) const;
};
[[nodiscard]] Discs discs(const contacts::Shadow& shadow, const contacts::Observer& observer,
                          Arcseconds solar_radius, double t);

}  // namespace noonfall::limb
