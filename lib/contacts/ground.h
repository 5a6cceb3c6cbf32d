// Points of the ground under points of the fundamental plane.
#pragma once

#include <optional>

#include "lib/contacts/shadow.h"

namespace noonfall::contacts {

/// The shadow axis at one instant, as from the Earth's centre.
struct Axis {
  double x, y;  // in the fundamental plane, Earth radii
  double sin_d, cos_d;
  double hour_angle;  // at longitude 0, radians
  double umbra;       // radius in the fundamental plane
};
[[nodiscard]] Axis axis_at(const Shadow& shadow, double t);

/// The sunlit point of the ellipsoid, raised by `height`, that lies in the fundamental plane's direction
/// (`xi`, `eta`); empty where that line passes the Earth by.
[[nodiscard]] std::optional<Site> ground_under(const Axis& axis, double xi, double eta, Metres height);

}  // namespace noonfall::contacts
