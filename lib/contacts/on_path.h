// The point of a path's line that is nearest to a site.
#pragma once

#include "lib/contacts/circumstances.h"
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

/// The way in which totality, or the ring, grows fastest.
struct Gain {
  double seconds_per_km = 0;
  Degrees azimuth;  // from north through east
};

/// Distances are along the ground, to lines at the site's own height.
struct OnPath {
  NearestPoint limit;  // the nearer of the two
  PathLine limit_side = PathLine::north;
  Metres limit_error;  // how surely the limit is where it is said to be, 95 % half-width
  std::optional<NearestPoint> centre;
  Kind kind_at_limit = Kind::total;  // what the path is there
  bool inside = false;               // of these lines; near them the Moon's real edge may have it otherwise
  bool certain = false;              // that there is totality or a ring at the site, or that there is none
  Limb limb = Limb::mean;            // what the site's own contacts are of; the lines are a smooth Moon's
  Duration here{};                   // of totality or the ring; zero outside
  Duration at_centre{};
  std::optional<Gain> gain;  // inside, where it can be told
};

/// Empty for an eclipse whose umbra misses the Earth. `found` is the site's circumstances.
[[nodiscard]] std::optional<OnPath> on_path(const Elements& elements, const Circumstances& found,
                                            const Settings& settings);

}  // namespace noonfall::contacts
