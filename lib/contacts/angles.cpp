#include "lib/contacts/angles.h"

#include <algorithm>
#include <cmath>

namespace noonfall::contacts {
namespace {

double dot(const AxisVector& a, const AxisVector& b) {
  return a.east * b.east + a.north * b.north + a.sunward * b.sunward;
}

/// The observer sees the Sun's centre a few arcseconds off the axis.
AxisVector direction_of_sun(const Shadow& shadow, double t, const ShadowState& s) {
  const double distance = shadow.sun_distance(t) - s.zeta;
  const AxisVector toward{s.u / distance, s.v / distance, 1};
  const double length = std::sqrt(dot(toward, toward));
  return {toward.east / length, toward.north / length, toward.sunward / length};
}

}  // namespace

SunAngles sun_angles(const Shadow& shadow, double t, const Observer& observer) {
  const auto s = shadow.at(t, observer);
  const auto [east, north, zenith] = local_frame(s, observer);
  const auto sun = direction_of_sun(shadow, t, s);
  const auto position_angle = degrees(std::atan2(s.u, s.v));
  const auto angle_of_zenith = degrees(std::atan2(zenith.east, zenith.north));
  return {degrees(std::asin(std::clamp(dot(sun, zenith), -1.0, 1.0))),
          in_circle(degrees(std::atan2(dot(sun, east), dot(sun, north)))), in_circle(position_angle),
          in_circle({position_angle.value - angle_of_zenith.value})};
}

Degrees refracted(Degrees altitude) {
  constexpr double sun_is_down = -1;
  if (altitude.value < sun_is_down) return altitude;
  const double arcminutes = 1.02 / std::tan(radians({altitude.value + 10.3 / (altitude.value + 5.11)}));
  return {altitude.value + std::max(0.0, arcminutes) / 60};
}

Degrees in_circle(Degrees angle) {
  const double turn = std::fmod(angle.value, 360);
  const double positive = turn < 0 ? turn + 360 : turn;
  return {positive < 360 ? positive : 0};
}

}  // namespace noonfall::contacts
