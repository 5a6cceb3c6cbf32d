#include "lib/contacts/ground.h"

#include <cmath>

namespace noonfall::contacts {

Axis axis_at(const Shadow& shadow, double t) {
  Observer centre{Site{}};
  centre.rho_sin_phi = 0;
  centre.rho_cos_phi = 0;
  const auto s = shadow.at(t, centre);
  return {s.u, s.v, s.sin_d, s.cos_d, std::atan2(s.sin_h, s.cos_h), s.umbra};
}

/// With a, b, c the point's coordinates towards the axis' meridian, east of it and along the Earth's axis:
/// b = xi, a = zeta cos d − eta sin d, c = zeta sin d + eta cos d, and a² + b² + k c² = r² gives zeta.
std::optional<Site> ground_under(const Axis& axis, double xi, double eta, Metres height) {
  const double h = height.value / earth_radius.value;
  const double r = 1 + h;
  const double k = std::pow(r / (1 - earth_flattening + h), 2);
  const double square = axis.cos_d * axis.cos_d + k * axis.sin_d * axis.sin_d;
  const double linear = eta * axis.sin_d * axis.cos_d * (k - 1);
  const double rest = eta * eta * (axis.sin_d * axis.sin_d + k * axis.cos_d * axis.cos_d) + xi * xi - r * r;
  const double under_root = linear * linear - square * rest;
  if (!(under_root >= 0)) return std::nullopt;
  const double zeta = (-linear + std::sqrt(under_root)) / square;
  const double a = zeta * axis.cos_d - eta * axis.sin_d;
  const double c = zeta * axis.sin_d + eta * axis.cos_d;
  const double longitude = std::remainder(std::atan2(xi, a) - axis.hour_angle, 2 * pi);
  return Site{degrees(std::atan2(c * k, std::hypot(a, xi))), degrees(longitude), height};
}

}  // namespace noonfall::contacts
