#include "lib/limb/sky_view.h"

#include <cmath>

#include <erfa.h>
#include <boost/math/tools/rational.hpp>

#include "lib/limb/directions.h"
#include "lib/limb/orientation.h"

namespace noonfall::limb {
namespace {

constexpr double earth_radius_km = contacts::earth_radius.value / 1000;
constexpr double unix_epoch_jd = 2440587.5;
constexpr double light_km_per_day = 299'792.458 * 86400;
constexpr double light_au_per_day = 173.1446326846693;  // 299792.458 km/s in IAU 2012 astronomical units

double value(const contacts::Series& series, double t) {
  return boost::math::tools::evaluate_polynomial(series.data(), t, series.size());
}

/// Days of TT since the Unix epoch; TDB is never 2 ms from it.
double day_of(const contacts::Elements& elements, double t) {
  return in_seconds(elements.t0().since_1970) / 86400 + t / 24;
}

/// East, north and sunward of the fundamental plane, in the ICRF.
Matrix axis_frame(const contacts::Elements& elements, double t) {
  const double day = day_of(elements, t);
  double of_date[3][3];
  eraPnm06a(unix_epoch_jd, day, of_date);
  // mu is the hour angle were UT1 equal to TT
  const double sidereal = eraGst06(unix_epoch_jd, day, unix_epoch_jd, day, of_date);
  const double a = sidereal - radians({value(elements.mu, t)});
  const double d = radians({value(elements.d, t)});
  const auto in_icrf = [&](const Vector& v) {
    Vector out;
    eraTrxp(of_date, const_cast<double*>(v.data()), out.data());
    return out;
  };
  return {in_icrf({-std::sin(a), std::cos(a), 0}),
          in_icrf({-std::sin(d) * std::cos(a), -std::sin(d) * std::sin(a), std::cos(d)}),
          in_icrf({std::cos(d) * std::cos(a), std::cos(d) * std::sin(a), std::sin(d)})};
}

Vector earth_velocity_over_light(double day) {
  double heliocentric[2][3];
  double barycentric[2][3];
  (void)eraEpv00(unix_epoch_jd, day, heliocentric, barycentric);  // warns outside 1900 to 2100 alone
  const auto* v = barycentric[1];
  return {v[0] / light_au_per_day, v[1] / light_au_per_day, v[2] / light_au_per_day};
}

}  // namespace

MoonView moon_view(const contacts::Elements& elements, const contacts::Shadow& shadow,
                   const contacts::Observer& observer, double t) {
  const auto s = shadow.at(t, observer);
  const double sunward = shadow.moon_distance(t) - s.zeta;
  const double distance_km = std::sqrt(s.distance_squared() + sunward * sunward) * earth_radius_km;
  const auto frame = axis_frame(elements, t);
  const double day = day_of(elements, t);
  // Elements are made of apparent places: without aberration the Moon is where its light comes from.
  const auto apparent = unit(turned_back(frame, {s.u, s.v, sunward}));
  const auto to_moon = unit(sum(1, apparent, -1, earth_velocity_over_light(day)));
  const auto moon = mean_earth_axes(unix_epoch_jd + day - distance_km / light_km_per_day);
  const auto below = turned(moon, {-to_moon[0], -to_moon[1], -to_moon[2]});
  const auto pole = turned(frame, moon[2]);
  return {{degrees(std::atan2(below[1], below[0])), degrees(std::asin(below[2])), distance_km},
          degrees(std::atan2(pole[0], pole[1]))};
}

double Discs::mean_moon_radius(double k) const {
  return std::asin(k * earth_radius_km / moon_distance_km);
}

Discs discs(const contacts::Shadow& shadow, const contacts::Observer& observer, Arcseconds solar_radius,
            double t) {
  constexpr double astronomical_unit_km = 149'597'870.7;  // IAU 2012 resolution B2
  const auto s = shadow.at(t, observer);
  const double across = std::sqrt(s.distance_squared());
  const double to_moon = shadow.moon_distance(t) - s.zeta;
  const double to_sun = shadow.sun_distance(t) - s.zeta;
  const double sun_km = std::hypot(across, to_sun) * earth_radius_km;
  const double sun_sine = std::sin(radians({solar_radius.value / 3600})) * astronomical_unit_km / sun_km;
  const bool centred = across < 1e-12;
  return {std::atan(across / to_moon) - std::atan(across / to_sun), centred ? 0 : -s.u / across,
          centred ? 1 : -s.v / across, std::asin(sun_sine), std::hypot(across, to_moon) * earth_radius_km};
}

}  // namespace noonfall::limb
