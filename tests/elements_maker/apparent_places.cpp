#include "tests/elements_maker/apparent_places.h"

#include <cmath>

#include <erfa.h>

#include "lib/contacts/shadow.h"

namespace noonfall::elements_maker {
namespace {

constexpr double mjd_zero = 2400000.5;
constexpr double day_s = 86400;

Epoch to_tdb(const Epoch& tt) {
  const double seconds = eraDtdb(mjd_zero + tt.mjd, tt.hours / 24, std::fmod(tt.hours / 24, 1), 0, 0, 0);
  return tt.later_by(seconds / 3600);
}

double length(const Vector& vector) {
  return std::hypot(vector[0], vector[1], vector[2]);
}

using Body = Motion (Ephemeris::*)(const Epoch&) const;

/// From the Earth now to the body when the light left it.
Vector light_path(const Ephemeris& ephemeris, Body body, const Vector& earth, const Epoch& tdb) {
  Vector path{};
  double light_h = 0;
  for (int n = 0; n < 4; ++n) {  // each round is ten thousand times nearer
    const auto then = (ephemeris.*body)(tdb.later_by(-light_h)).place;
    for (std::size_t axis = 0; axis < 3; ++axis) path[axis] = then[axis] - earth[axis];
    light_h = length(path) / ephemeris.light_km_per_s() / 3600;
  }
  return path;
}

struct Observer {
  Vector velocity_c;  // in units of the speed of light
  double sun_au;
  double inverse_lorentz;
};

Observer observer_of(const Ephemeris& ephemeris, const Motion& earth, double sun_km) {
  Observer observer{};
  double square = 0;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    observer.velocity_c[axis] = earth.velocity[axis] / day_s / ephemeris.light_km_per_s();
    square += observer.velocity_c[axis] * observer.velocity_c[axis];
  }
  observer.sun_au = sun_km / ephemeris.au_km();
  observer.inverse_lorentz = std::sqrt(1 - square);
  return observer;
}

Vector aberrated(const Vector& path_km, const Observer& observer, double equator[3][3]) {
  const double distance_km = length(path_km);
  Vector natural = path_km;
  for (auto& each : natural) each /= distance_km;
  auto velocity = observer.velocity_c;  // ERFA's arguments aren't const
  Vector proper{};
  eraAb(natural.data(), velocity.data(), observer.sun_au, observer.inverse_lorentz, proper.data());
  Vector of_date{};
  eraRxp(equator, proper.data(), of_date.data());
  for (auto& each : of_date) each *= distance_km * 1000 / contacts::earth_radius.value;
  return of_date;
}

}  // namespace

ApparentPlaces apparent_places(const Ephemeris& ephemeris, const Epoch& tt) {
  const auto tdb = to_tdb(tt);
  const auto earth = ephemeris.earth(tdb);
  const auto sun = light_path(ephemeris, &Ephemeris::sun, earth.place, tdb);
  const auto moon = light_path(ephemeris, &Ephemeris::moon, earth.place, tdb);
  const double day = mjd_zero + tt.mjd;
  const double part = tt.hours / 24;
  double equator[3][3];
  eraPnm06a(day, part, equator);
  const auto observer = observer_of(ephemeris, earth, length(sun));
  return {aberrated(sun, observer, equator), aberrated(moon, observer, equator),
          eraGst06(day, part, day, part, equator)};
}

}  // namespace noonfall::elements_maker
