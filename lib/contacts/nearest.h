// The point of a path's line that is nearest to a site.
#pragma once

#include "lib/contacts/path.h"

namespace noonfall::contacts {

struct NearestPoint {
  Site site;  // at the height of the one asked about
  double t = 0;
  Metres distance;
};

/// Empty where the line isn't on the Earth.
[[nodiscard]] std::optional<NearestPoint> nearest_on(const Shadow& shadow, PathLine line, const Site& site);

/// The same among the points of a part of the line, in which the distance has one minimum.
[[nodiscard]] std::optional<NearestPoint> nearest_within(const Shadow& shadow, PathLine line,
                                                         const Site& site, const HourSpan& span);

/// Across the path through a point of its centre line at `t`; empty where a limit isn't abreast of it,
/// near sunrise and sunset.
[[nodiscard]] std::optional<Metres> width_at(const Shadow& shadow, const Site& centre, double t);

}  // namespace noonfall::contacts
