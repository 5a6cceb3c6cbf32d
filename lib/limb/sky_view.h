// What one observer sees: the Moon and the Sun behind it at an instant, and how far the Moon's edge stands
// out all around.
#pragma once

#include <vector>

#include "lib/base/units.h"
#include "lib/contacts/shadow.h"
#include "lib/limb/strip.h"

namespace noonfall::limb {

/// Where an observer is, seen from the Moon: the topocentric libration.
struct Viewpoint {
  Degrees longitude;  // of the point below the observer, mean-Earth frame, east positive
  Degrees latitude;
  double distance_km = 0;  // from the Moon's centre
};

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

/// Tangent of the angle between the Moon's centre and its edge, for each axis angle: from lunar north through
/// east in the sky. The edge is the highest point of the terrain in the plane through the line of sight.
[[nodiscard]] std::vector<double> edge_tangents(const Strip& strip, const Viewpoint& from,
                                                const std::vector<double>& axis_angles_rad);

}  // namespace noonfall::limb
