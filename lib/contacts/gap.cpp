#include "lib/contacts/gap.h"

#include <algorithm>
#include <cmath>

namespace noonfall::contacts {
namespace {

constexpr double arcsec_per_radian = 180 * 3600 / pi;
constexpr double turn_rad_per_s = 2 * pi / 86164.09890;  // of the Earth, against the stars

/// Arcseconds between Sun and Moon for an Earth radius across the shadow axis at the observer.
double arcsec_per_radius(const Shadow& shadow, double t, const ShadowState& s) {
  return arcsec_per_radian * (1 / (shadow.moon_distance(t) - s.zeta) - 1 / (shadow.sun_distance(t) - s.zeta));
}

}  // namespace

Gap gap_at(const Shadow& shadow, const Observer& observer, const ContactHours& hours, ContactName name) {
  const double t = hours[name];
  const auto s = shadow.at(t, observer);
  const bool outer = name == ContactName::c1 || name == ContactName::c4;
  const double sign = !outer && s.umbra < 0 ? -1 : 1;  // the gap is distance − |radius|
  const double radius_rate = sign * (outer ? s.penumbra_rate : s.umbra_rate);
  const double radius_per_zeta = -sign * (outer ? shadow.tan_f1() : shadow.tan_f2());
  const double distance = std::max(std::sqrt(s.distance_squared()), 1e-9);
  const double scale = arcsec_per_radius(shadow, t, s);
  const auto per_metre = [&](const AxisVector& move) {
    const double apart = -(s.u * move.east + s.v * move.north) / distance;
    return scale * (apart - radius_per_zeta * move.sunward) / earth_radius.value;
  };
  const auto frame = local_frame(s, observer);
  Gap gap;
  gap.rate = scale * ((s.u * s.u_rate + s.v * s.v_rate) / distance - radius_rate) / 3600;
  gap.per_east = per_metre(frame.east);
  gap.per_north = per_metre(frame.north);
  gap.per_up = per_metre(frame.up);
  gap.per_dut1 = gap.per_east * turn_rad_per_s * observer.rho_cos_phi * earth_radius.value;
  gap.to_deepest_s = std::abs(t - hours.deepest) * 3600;
  return gap;
}

double relative_speed(const Shadow& shadow, const Observer& observer, double t) {
  const auto s = shadow.at(t, observer);
  return arcsec_per_radius(shadow, t, s) * std::sqrt(s.speed_squared()) / 3600;
}

Seconds shift_by(const Gap& gap, Arcseconds error) {
  const double reach = gap.to_deepest_s;
  const double spread = 2 * reach * std::abs(error.value) / std::max(std::abs(gap.rate), 1e-9);
  const double outwards = std::sqrt(reach * reach + spread) - reach;
  const double inwards = reach - std::sqrt(std::max(0.0, reach * reach - spread));
  return {std::max(outwards, inwards)};
}

}  // namespace noonfall::contacts
