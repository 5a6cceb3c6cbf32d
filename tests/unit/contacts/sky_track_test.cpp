#include "lib/contacts/sky_track.h"

#include <cmath>

#include <doctest/doctest.h>

#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
#include "lib/contacts/shadow.h"

#ifdef NOONFALL_HAS_SWEPH
#include <swephexp.h>
#endif

using namespace noonfall;
using namespace noonfall::contacts;

namespace {

struct Place {
  const char* date;
  Site site;
  Kind kind;
};

// Total, annular and partial, high and low, east and west, north and south.
const Place places[] = {
    {"2027-08-02", {{25.6872}, {32.6396}, {80}}, Kind::total},
    {"2026-08-12", {{42.34}, {-3.70}, {860}}, Kind::total},
    {"2028-07-22", {{-33.87}, {151.21}, {20}}, Kind::total},
    {"2028-01-26", {{37.39}, {-5.99}, {10}}, Kind::annular},
    {"2027-08-02", {{51.48}, {0}, {40}}, Kind::partial},
};

Circumstances sky_over(const Place& place) {
  return circumstances(*find_elements(built_in_elements(), *parse_date(place.date)), place.site);
}

double away(Degrees a, Degrees b) {
  return std::abs(std::remainder(a.value - b.value, 360));
}

}  // namespace

TEST_CASE("the Sun between the contacts stands where the solver has it at each of them") {
  for (const auto& place : places) {
    CAPTURE(place.date);
    const auto sky = sky_over(place);
    REQUIRE(sky.kind == place.kind);
    for (const auto& contact : sky.contacts) {
      if (!contact) continue;
      const auto sun = sun_at(sky, contact->utc);
      REQUIRE(sun);
      CHECK(away(sun->altitude, contact->altitude) < 0.1);
      CHECK(away(sun->azimuth, contact->azimuth) * std::cos(radians(contact->altitude)) < 0.1);
      CHECK(away(sun->apparent_altitude, contact->apparent_altitude) < 0.1);
    }
  }
  CHECK_FALSE(sun_at({}, {}));
}

TEST_CASE("the discs between the contacts are those of the shadow's geometry") {
  // With the radii of the cones L1 and L2 where the observer is and the distance m from the axis, the Moon's
  // radius is (L1 - L2) / (L1 + L2) of the Sun's, the distance of centres 2 m / (L1 + L2): Explanatory
  // Supplement, solar eclipses.
  for (const auto& place : places) {
    CAPTURE(place.date);
    CAPTURE(place.site.latitude.value);
    const auto& elements = *find_elements(built_in_elements(), *parse_date(place.date));
    const auto sky = sky_over(place);
    const Shadow shadow{elements, delta_t_for(elements, {})};
    const Observer observer{place.site};
    const auto mid = sky.at(ContactName::mid)->utc;
    for (const auto minutes : {-60, -40, -20, -5, -1, 0, 1, 5, 20, 40, 60}) {
      const auto at = mid + std::chrono::minutes{minutes};
      if (at < sky.at(ContactName::c1)->utc || at > sky.at(ContactName::c4)->utc) continue;
      const auto hours = in_seconds(at - instant_at(elements, {}, 0)) / 3600;
      const auto state = shadow.at(hours, observer);
      CAPTURE(minutes);
      const auto discs = discs_at(sky, at);
      const double both = state.penumbra + state.umbra;
      CHECK(std::abs(discs.centre_distance - 2 * std::sqrt(state.distance_squared()) / both) < 0.04);
      CHECK(std::abs(discs.moon_radius - (state.penumbra - state.umbra) / both) < 0.06);
    }
    CHECK(discs_at(sky, sky.at(ContactName::c1)->utc).centre_distance >= 2);
  }
}

#ifdef NOONFALL_HAS_SWEPH
TEST_CASE("the Sun's path agrees with a general ephemeris library's") {
  constexpr double unix_epoch_jd = 2440587.5;
  for (const auto& place : places) {
    CAPTURE(place.date);
    const auto sky = sky_over(place);
    double where[3] = {place.site.longitude.value, place.site.latitude.value, place.site.height.value};
    for (const auto hours : {-1.2, -0.5, 0.7, 1.2}) {
      const auto at = sky.at(ContactName::mid)->utc + from_seconds(hours * 3600);
      const double jd = unix_epoch_jd + in_seconds(at.time_since_epoch()) / 86400;
      double sun[6];
      double seen[3];
      char error[AS_MAXCH];
      REQUIRE(swe_calc_ut(jd, SE_SUN, SEFLG_MOSEPH | SEFLG_EQUATORIAL, sun, error) >= 0);
      swe_azalt(jd, SE_EQU2HOR, where, 0, 0, sun, seen);  // azimuth from south through west
      const auto ours = sun_at(sky, at);
      REQUIRE(ours);
      CHECK(away(ours->altitude, {seen[1]}) < 0.1);
      CHECK(away(ours->azimuth, {seen[0] + 180}) * std::cos(radians(ours->altitude)) < 0.1);
    }
  }
}

TEST_CASE("half a day from mid-eclipse the Sun is still where a general ephemeris library has it") {
  constexpr double unix_epoch_jd = 2440587.5;
  for (const auto& place : places) {
    CAPTURE(place.date);
    const auto sky = sky_over(place);
    double where[3] = {place.site.longitude.value, place.site.latitude.value, place.site.height.value};
    for (const auto hours : {-12, -9, -6, 6, 9, 12}) {
      const auto at = sky.at(ContactName::mid)->utc + std::chrono::hours{hours};
      const double jd = unix_epoch_jd + in_seconds(at.time_since_epoch()) / 86400;
      double sun[6];
      double seen[3];
      char error[AS_MAXCH];
      REQUIRE(swe_calc_ut(jd, SE_SUN, SEFLG_MOSEPH | SEFLG_EQUATORIAL, sun, error) >= 0);
      swe_azalt(jd, SE_EQU2HOR, where, 0, 0, sun, seen);
      const auto ours = sun_at(sky, at);
      REQUIRE(ours);
      CAPTURE(hours);
      CHECK(away(ours->altitude, {seen[1]}) < 0.03);
      CHECK(away(ours->azimuth, {seen[0] + 180}) * std::cos(radians(ours->altitude)) < 0.03);
    }
  }
}

TEST_CASE("the Moon lies before the Sun where a general ephemeris library has it, seen from the site") {
  constexpr double unix_epoch_jd = 2440587.5;
  for (const auto& place : places) {
    CAPTURE(place.date);
    const auto sky = sky_over(place);
    swe_set_topo(place.site.longitude.value, place.site.latitude.value, place.site.height.value);
    const auto from = sky.at(ContactName::c1)->utc;
    const auto until = sky.at(ContactName::c4)->utc;
    for (const auto part : {0.1, 0.3, 0.5, 0.8}) {
      const auto at = from + from_seconds(in_seconds(until - from) * part);
      const double jd = unix_epoch_jd + in_seconds(at.time_since_epoch()) / 86400;
      constexpr int flags = SEFLG_MOSEPH | SEFLG_EQUATORIAL | SEFLG_TOPOCTR;
      double sun[6];
      double moon[6];
      char error[AS_MAXCH];
      REQUIRE(swe_calc_ut(jd, SE_SUN, flags, sun, error) >= 0);
      REQUIRE(swe_calc_ut(jd, SE_MOON, flags, moon, error) >= 0);
      const double radius = 959.63 / 3600 / sun[2];  // of the Sun in degrees (Auwers), at its distance in au
      const auto ours = moon_at(sky, at);
      REQUIRE(ours);
      CHECK(std::abs(ours->north - (moon[1] - sun[1]) / radius) < 0.07);
      CHECK(std::abs(ours->east - std::remainder(moon[0] - sun[0], 360) * std::cos(radians(Degrees{sun[1]})) /
                                      radius) < 0.07);
      // The parallactic angle, Meeus, Astronomical Algorithms, 2nd ed., formula 14.1.
      const double hour_angle = radians(Degrees{swe_sidtime(jd) * 15 + place.site.longitude.value - sun[0]});
      const double phi = radians(place.site.latitude);
      const double delta = radians(Degrees{sun[1]});
      const auto parallactic = degrees(std::atan2(
          std::sin(hour_angle), std::tan(phi) * std::cos(delta) - std::sin(delta) * std::cos(hour_angle)));
      CHECK(away(ours->zenith, parallactic) * std::cos(radians(sun_at(sky, at)->altitude)) < 0.1);
    }
  }
}

namespace {

/// Of the disc's upper edge in 34' of refraction; from noon UTC of the day before on.
double theirs_after(double jd, const Site& site, int what) {
  double where[3] = {site.longitude.value, site.latitude.value, 0};
  double when = 0;
  char error[AS_MAXCH];
  constexpr double pressure_for_34_minutes = 1013.25 * 34 / 34.5;  // theirs is 34.5' at the usual pressure
  const auto found = swe_rise_trans(jd, SE_SUN, nullptr, SEFLG_MOSEPH, what, where, pressure_for_34_minutes,
                                    15, &when, error);
  REQUIRE(found == 0);
  return when;
}

}  // namespace

TEST_CASE("sunrise and sunset agree with a general ephemeris library's") {
  // Ours is the upper edge of a Sun of 16' in 34' of refraction, as in almanacs; theirs has the Sun's radius
  // of the day and refraction by the pressure: some seconds, more where the Sun comes up at a slant.
  constexpr double unix_epoch_jd = 2440587.5;
  for (const auto& place : places) {
    CAPTURE(place.date);
    const auto sky = sky_over(place);
    const auto day = rise_and_set(sky);
    REQUIRE(day.up_at_mid);
    REQUIRE(day.rises);
    REQUIRE(day.sets);
    const auto jd_of = [&](Utc at) { return unix_epoch_jd + in_seconds(at.time_since_epoch()) / 86400; };
    const double mid = jd_of(sky.at(ContactName::mid)->utc);
    const double rise = theirs_after(mid - 1, place.site, SE_CALC_RISE);
    const double set = theirs_after(mid, place.site, SE_CALC_SET);
    CHECK(std::abs(jd_of(*day.rises) - rise) * 86400 < 20);
    CHECK(std::abs(jd_of(*day.sets) - set) * 86400 < 20);
  }
}
#endif

TEST_CASE("where the Sun is down at mid-eclipse it went down before and comes up after") {
  // At the other end of the line through the Sun: midnight of the other half of the year.
  auto sky = sky_over(places[0]);
  auto& mid = *sky.contacts[2];
  mid.altitude = {-mid.altitude.value};
  mid.azimuth = {mid.azimuth.value + 180};
  const auto night = rise_and_set(sky);
  CHECK_FALSE(night.up_at_mid);
  REQUIRE(night.rises);
  REQUIRE(night.sets);
  CHECK(*night.sets < mid.utc);
  CHECK(mid.utc < *night.rises);
  const auto sun = sun_at(sky, *night.rises);
  CHECK(away(sun->altitude, {-50.0 / 60}) < 0.01);
  CHECK(rise_and_set({}) == Daylight{});
}

TEST_CASE("a hill lets the Sun up later and takes it away sooner") {
  const auto sky = sky_over(places[1]);
  const auto level = rise_and_set(sky);
  const auto hill = rise_and_set_over(sky, {4});
  REQUIRE(hill.rises);
  REQUIRE(hill.sets);
  CHECK(*hill.rises > *level.rises);
  CHECK(*hill.sets < *level.sets);
  CHECK(away(sun_at(sky, *hill.sets)->apparent_altitude, {4}) < 0.001);
}

TEST_CASE("within the polar circle the Sun of August doesn't set, as nobody doubts") {
  // 2026-08-12 on Svalbard: the midnight Sun there lasts until late August.
  const Site svalbard{{78.22}, {15.65}, {10}};
  const auto sky = circumstances(*find_elements(built_in_elements(), *parse_date("2026-08-12")), svalbard);
  const auto day = rise_and_set(sky);
  CHECK(day.up_at_mid);
  CHECK_FALSE(day.rises);
  CHECK_FALSE(day.sets);
}

TEST_CASE("outside the eclipse no Moon lies before the Sun") {
  const auto sky = sky_over(places[0]);
  CHECK_FALSE(moon_at(sky, sky.at(ContactName::c1)->utc - std::chrono::seconds{1}));
  CHECK_FALSE(moon_at(sky, sky.at(ContactName::c4)->utc + std::chrono::seconds{1}));
  CHECK_FALSE(moon_at({}, {}));
}
