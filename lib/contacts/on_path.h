// Where a site is on the path of a central eclipse, and what moving would bring.
#pragma once

#include "lib/contacts/circumstances.h"
#include "lib/contacts/nearest.h"

namespace noonfall::contacts {

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
