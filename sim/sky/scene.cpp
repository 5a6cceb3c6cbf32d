#include "sim/sky/scene.h"

#include <cmath>

#include "lib/contacts/angles.h"
#include "lib/contacts/solve.h"
#include "lib/limb/sky_view.h"

namespace noonfall::sim {
namespace {

using contacts::AxisVector;

Duration delta_t_of(const contacts::Elements& elements, const contacts::Settings& settings) {
  if (elements.delta_t) return *elements.delta_t;
  return delta_t(to_utc(elements.greatest(), settings.leap_seconds), settings.dut1, settings.leap_seconds);
}

double dot(const AxisVector& a, const AxisVector& b) {
  return a.east * b.east + a.north * b.north + a.sunward * b.sunward;
}

AxisVector sum(double a, const AxisVector& u, double b, const AxisVector& v, double c, const AxisVector& w) {
  return {a * u.east + b * v.east + c * w.east, a * u.north + b * v.north + c * w.north,
          a * u.sunward + b * v.sunward + c * w.sunward};
}

/// A camera's three directions, as parts of the local east, north and zenith.
struct Level {
  AxisVector right, up, ahead;
};

/// Pointed at what is sunward of `horizon`, level.
Level level_at(const contacts::LocalFrame& horizon) {
  const AxisVector ahead{horizon.east.sunward, horizon.north.sunward, horizon.up.sunward};
  const double flat = std::max(1e-9, std::hypot(ahead.east, ahead.north));
  const AxisVector right{ahead.north / flat, -ahead.east / flat, 0};
  // right x ahead, with the third part towards the zenith
  const AxisVector up{right.north * ahead.sunward, -right.east * ahead.sunward,
                      right.east * ahead.north - right.north * ahead.east};
  return {right, up, ahead};
}

}  // namespace

Scene::Scene(const contacts::Elements& elements, const contacts::Settings& settings,
             const contacts::Site& site, std::shared_ptr<const limb::Edges> edges)
    : elements_{elements},
      leap_seconds_{settings.leap_seconds},
      solar_radius_{settings.solar_radius},
      shadow_{elements, delta_t_of(elements, settings), settings.solar_radius},
      observer_{site},
      edges_{std::move(edges)} {}

Aspect Scene::at(Utc instant) const {
  const double t = in_seconds(to_tt(instant, leap_seconds_).since_1970 - elements_.t0().since_1970) / 3600;
  const auto state = shadow_.at(t, observer_);
  const auto discs = limb::discs(shadow_, observer_, solar_radius_, t);
  Aspect out;
  out.sun_radius_rad = discs.sun_radius;
  out.moon_east = -discs.offset * discs.sine / discs.sun_radius;
  out.moon_north = -discs.offset * discs.cosine / discs.sun_radius;
  out.moon_radius = discs.mean_moon_radius(elements_.k2) / discs.sun_radius;
  out.uncovered = 1 - contacts::covered_area(1, out.moon_radius, std::hypot(out.moon_east, out.moon_north));
  out.altitude = contacts::sun_angles(shadow_, t, observer_).altitude;
  out.horizon = contacts::local_frame(state, observer_);
  if (!edges_) return out;
  const double arcsecond = pi / 180 / 3600;
  out.moon_edge.resize(limb::edge_count);
  for (std::size_t n = 0; n < limb::edge_count; ++n) {
    const auto height = edges_->moon_height(n, t, elements_.k2) * arcsecond / discs.sun_radius;
    out.moon_edge[n] = static_cast<float>(out.moon_radius + height);
  }
  return out;
}

Projection project(const Aspect& now, const Aspect& aim, plan::Mount mount, double pixels_per_radian,
                   int width, int height) {
  const double radius = now.sun_radius_rad * pixels_per_radian;
  const double middle_x = width / 2.0;
  const double middle_y = height / 2.0;
  // North up has east on the left.
  if (mount == plan::Mount::tracking) return {middle_x, middle_y, -radius, 0, 0, -radius, true};
  const auto level = level_at(aim.horizon);
  const auto here = [&](const AxisVector& local) {
    return sum(local.east, now.horizon.east, local.north, now.horizon.north, local.sunward, now.horizon.up);
  };
  const auto right = here(level.right);
  const auto up = here(level.up);
  const auto ahead = here(level.ahead);
  const auto place = [&](const AxisVector& direction) {
    const double depth = dot(direction, ahead);
    return std::pair{middle_x + pixels_per_radian * dot(direction, right) / depth,
                     middle_y - pixels_per_radian * dot(direction, up) / depth};
  };
  const double step = now.sun_radius_rad;
  const auto [x, y] = place({0, 0, 1});
  const auto [east_x, east_y] = place({step, 0, 1});
  const auto [north_x, north_y] = place({0, step, 1});
  return {x, y, east_x - x, east_y - y, north_x - x, north_y - y, ahead.sunward > 0.05};
}

}  // namespace noonfall::sim
