// What stands in the sky at one site and instant, and where it falls on the sensor of a rig.
#pragma once

#include <memory>
#include <vector>

#include "lib/contacts/elements.h"
#include "lib/contacts/settings.h"
#include "lib/contacts/shadow.h"
#include "lib/limb/edges.h"
#include "lib/plan/plan.h"

namespace noonfall::sim {

/// Around the Sun's centre, in solar radii, east and north: what a picture of the Sun is made of.
struct Aspect {
  double moon_east = 0;
  double moon_north = 0;
  double moon_radius = 1;
  std::vector<float> moon_edge;  // with its mountains, by position angle all around; empty for a smooth one
  double sun_radius_rad = 0;
  double uncovered = 1;          // of the Sun's area, by smooth discs
  Degrees altitude;              // of the Sun
  contacts::LocalFrame horizon;  // seen from the Sun's direction
};

class Scene {
 public:
  /// `edges`: the Moon's real edge, if it is known.
  Scene(const contacts::Elements& elements, const contacts::Settings& settings, const contacts::Site& site,
        std::shared_ptr<const limb::Edges> edges);
  [[nodiscard]] Aspect at(Utc instant) const;

 private:
  contacts::Elements elements_;
  LeapSeconds leap_seconds_;
  Arcseconds solar_radius_;
  contacts::Shadow shadow_;
  contacts::Observer observer_;
  std::shared_ptr<const limb::Edges> edges_;
};

/// From the Sun's plane to the picture: pixel = centre + east * (x, y) + north * (x, y), y downwards.
struct Projection {
  double x = 0;
  double y = 0;
  double east_x = 0, east_y = 0;  // of one solar radius
  double north_x = 0, north_y = 0;
  bool in_front = true;
};

/// `aim`: the aspect at which the Sun stood in the middle. A fixed mount stays there with its horizon level,
/// a tracking one follows the Sun, north up. `pixels_per_radian` at the picture's middle.
[[nodiscard]] Projection project(const Aspect& now, const Aspect& aim, plan::Mount mount,
                                 double pixels_per_radian, int width, int height);

}  // namespace noonfall::sim
