// The Moon's edge as one observer sees it: how far it stands out at every angle around.
#pragma once

#include <vector>

#include "lib/base/units.h"
#include "lib/limb/strip.h"

namespace noonfall::limb {

/// Where an observer is, seen from the Moon: the topocentric libration.
struct Viewpoint {
  Degrees longitude;  // of the point below the observer, mean-Earth frame, east positive
  Degrees latitude;
  double distance_km = 0;  // from the Moon's centre
};

/// Tangent of the angle between the Moon's centre and its edge, for each axis angle: from lunar north through
/// east in the sky. The edge is the highest point of the terrain in the plane through the line of sight.
[[nodiscard]] std::vector<double> edge_tangents(const Strip& strip, const Viewpoint& from,
                                                const std::vector<double>& axis_angles_rad);

}  // namespace noonfall::limb
