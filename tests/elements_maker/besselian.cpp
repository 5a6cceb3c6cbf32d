#include "tests/elements_maker/besselian.h"

#include <cmath>

#include "lib/base/sun.h"
#include "lib/base/units.h"
#include "lib/contacts/shadow.h"

namespace noonfall::elements_maker {
namespace {

double in_turn(double degrees) {
  const double rest = std::fmod(degrees, 360);
  return rest < 0 ? rest + 360 : rest;
}

double dot(const Vector& a, const Vector& b) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

struct Cone {
  double tan_f;
  double sin_f;
};

Cone cone_of(double sin_f) {
  return {sin_f / std::sqrt(1 - sin_f * sin_f), sin_f};
}

}  // namespace

Radii usual_radii(double au_km) {
  const double angle = auwers_solar_radius.value / 3600 * pi / 180;
  return {0.272488, 0.272281, std::sin(angle) * au_km * 1000 / contacts::earth_radius.value};
}

ShadowNow shadow_now(const ApparentPlaces& places, const Radii& radii) {
  Vector axis{};
  for (std::size_t n = 0; n < 3; ++n) axis[n] = places.sun[n] - places.moon[n];
  const double moon_to_sun = std::sqrt(dot(axis, axis));
  const double a = std::atan2(axis[1], axis[0]);
  const double d = std::asin(axis[2] / moon_to_sun);
  const Vector east{-std::sin(a), std::cos(a), 0};
  const Vector north{-std::sin(d) * std::cos(a), -std::sin(d) * std::sin(a), std::cos(d)};
  const Vector sunward{std::cos(d) * std::cos(a), std::cos(d) * std::sin(a), std::sin(d)};
  const double z = dot(places.moon, sunward);
  const auto penumbra = cone_of((radii.sun + radii.k1) / moon_to_sun);
  const auto umbra = cone_of((radii.sun - radii.k2) / moon_to_sun);
  ShadowNow now{};
  now.x = dot(places.moon, east);
  now.y = dot(places.moon, north);
  now.d = d * 180 / pi;
  now.mu = in_turn((places.sidereal_rad - a) * 180 / pi);
  now.l1 = (z + radii.k1 / penumbra.sin_f) * penumbra.tan_f;
  now.l2 = (z - radii.k2 / umbra.sin_f) * umbra.tan_f;
  now.tan_f1 = penumbra.tan_f;
  now.tan_f2 = umbra.tan_f;
  return now;
}

}  // namespace noonfall::elements_maker
