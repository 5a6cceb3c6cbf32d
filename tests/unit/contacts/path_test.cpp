// The path of the umbra against NASA's and Meeus' figures.
#include <cmath>

#include <doctest/doctest.h>

#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
#include "lib/contacts/on_path.h"
#include "lib/contacts/path.h"
#include "tests/unit/contacts/nasa_elements.h"
#include "tests/unit/contacts/published_elements.h"

using namespace noonfall;
using namespace noonfall::contacts;
using namespace noonfall::tests;

namespace {

Shadow shadow_of(const Elements& elements) {
  return {elements, delta_t_for(elements, {})};
}

/// UT in hours of the day, as t in hours of TT from t0.
double hours_at(const Elements& elements, double ut_h) {
  return ut_h + in_seconds(*elements.delta_t) / 3600 - elements.t0_h;
}

/// When a line crosses a meridian, searched between two hours of UT.
double crosses(const Shadow& shadow, PathLine line, double longitude, double from, double to) {
  while (to - from > 1e-7) {
    const double middle = (from + to) / 2;
    (point_on(shadow, line, middle, {0})->longitude.value < longitude ? from : to) = middle;
  }
  return from;
}

double central_s(const Shadow& shadow, const Site& site) {
  const auto hours = solve(shadow, Observer{site});
  return (hours[ContactName::c3] - hours[ContactName::c2]) * 3600;
}

/// In the fundamental plane: an observer on the turning Earth is passed more slowly.
double axis_speed(const Shadow& shadow, double t) {
  Observer centre{Site{}};
  centre.rho_sin_phi = 0;
  centre.rho_cos_phi = 0;
  return std::sqrt(shadow.at(t, centre).speed_squared());
}

double minutes(double degrees, double arcmin) {
  return std::copysign(std::abs(degrees) + arcmin / 60, degrees);
}

}  // namespace

TEST_CASE("the central line and the limits of 1994 cross 97 W where Meeus has them") {
  // Elements of Solar Eclipses 1951-2200 (1989), examples 5 and 6.
  const auto elements = as_user_file(annular_1994_may_10());
  const auto shadow = shadow_of(elements);
  struct Example {
    PathLine line;
    double latitude, ut_h;
  };
  for (const auto& [line, latitude, ut_h] :
       {Example{PathLine::centre, 36.74052, 16 + 35.0 / 60 + 50.0 / 3600},
        Example{PathLine::north, 37.99034, 16 + 38.0 / 60 + 5.0 / 3600},
        Example{PathLine::south, 35.49901, 16 + 33.0 / 60 + 34.0 / 3600}}) {
    CAPTURE(to_text(line));
    const double near = hours_at(elements, ut_h);
    const double t = crosses(shadow, line, -97, near - 0.2, near + 0.2);
    CHECK(std::abs(t - near) * 3600 < 1);
    CHECK(std::abs(point_on(shadow, line, t, {0})->latitude.value - latitude) < 0.0002);
  }
}

TEST_CASE("the central line of 2006 begins, peaks and ends where NASA/TP-2004-212762 has it") {
  // Its Table 3; degrees and tenths of minutes of arc, TT.
  const auto elements = as_user_file(total_2006_march_29());
  const auto shadow = shadow_of(elements);
  const auto span = *span_of(shadow, PathLine::centre, {0});
  const auto check = [&](double t, double tt_h, double latitude, double longitude) {
    CHECK(std::abs(elements.t0_h + t - tt_h) * 3600 < 1);
    const auto site = *point_on(shadow, PathLine::centre, t, {0});
    // at the ends a tenth of a second, the last digit printed, is 0.5'
    CHECK(std::abs(site.latitude.value - latitude) < 0.5 / 60);
    CHECK(std::abs(site.longitude.value - longitude) < 0.5 / 60);
  };
  check(span.from, 8 + 36.0 / 60 + 31.3 / 3600, minutes(-6, 18.0), minutes(-37, 16.4));
  check(10 + 12.0 / 60 + 22.57 / 3600 - 10, 10 + 12.0 / 60 + 22.57 / 3600, minutes(23, 9.1),
        minutes(16, 44.9));
  check(span.to, 11 + 48.0 / 60 + 0.4 / 3600, minutes(51, 34.0), minutes(98, 47.7));
}

TEST_CASE("duration and width of 2006 are those of NASA's text") {
  // TP-2004-212762: 1m53s and 129 km at sunrise; at Ghana's coast, 09:08 UT, 3m24s, 184 km.
  const auto shadow = shadow_of(as_user_file(total_2006_march_29()));
  const auto start = span_of(shadow, PathLine::centre, {0})->from;
  CHECK(std::abs(central_s(shadow, *point_on(shadow, PathLine::centre, start, {0})) - 113) < 1);
  const double ghana = 9 + 8.0 / 60 + 64.9 / 3600 - 10;
  const auto coast = *point_on(shadow, PathLine::centre, ghana, {0});
  CHECK(std::abs(central_s(shadow, coast) - 204) < 1);
  CHECK(std::abs(width_at(shadow, coast, ghana)->value / 1000 - 184) < 1);
}

TEST_CASE("at greatest eclipse place, duration and width are the Five Millennium Canon's") {
  // NASA/TP-2006-214141: degrees to one decimal, whole seconds, kilometres.
  for (const auto& each : nasa_greatest()) {
    const auto elements = elements_behind(each);
    CAPTURE(each.date);
    const auto shadow = shadow_of(elements);
    const double t = elements.greatest_h - elements.t0_h;
    const auto site = *point_on(shadow, PathLine::centre, t, {0});
    CHECK(std::abs(site.latitude.value - each.latitude) < 0.06);
    CHECK(std::abs(site.longitude.value - each.longitude) < 0.06);
    CHECK(std::abs(central_s(shadow, site) - each.duration_s) < 1);
    if (each.width_km > 0) CHECK(std::abs(width_at(shadow, site, t)->value / 1000 - each.width_km) < 1);
  }
}

TEST_CASE("our centre lines lie where NASA's elements put them, within what the ephemerides differ by") {
  // VSOP87/ELP2000-82 and JPL DE405 agree within 0.045 s along the track and 0.05 km across, in the plane
  // that faces the Sun. NASA's seven digits cost up to 0.013 s more.
  for (const auto& each : nasa_greatest()) {
    CAPTURE(each.date);
    const auto theirs = elements_behind(each);
    const auto* ours = find_elements(built_in_elements(), theirs.date);
    REQUIRE(ours != nullptr);
    const auto shadow = shadow_of(theirs);
    const Shadow mine{*ours, *theirs.delta_t};
    const double later = theirs.t0_h - ours->t0_h;
    for (const double t : {-1.0, -0.5, 0.0, 0.5, 1.0}) {
      const auto site = point_on(mine, PathLine::centre, t + later, {0});
      if (!site) continue;
      const auto near = *nearest_on(shadow, PathLine::centre, *site);
      const double tilt = shadow.at(t, Observer{*site}).zeta;  // sine of the Sun's altitude, nearly
      CHECK(near.distance.value * tilt < 50 + 20);
      const double passing = std::sqrt(shadow.at(t, Observer{*site}).speed_squared());
      CHECK(std::abs(near.t - t) * 3600 * passing < (0.045 + 0.013) * axis_speed(shadow, t));
    }
  }
}

TEST_CASE("on a limit the umbra touches, and kinds differ on its two sides") {
  for (const auto* date : {"2024-04-08", "2024-10-02", "2026-08-12", "2027-08-02", "2028-07-22"}) {
    CAPTURE(date);
    const auto& elements = *find_elements(built_in_elements(), *parse_date(date));
    const auto shadow = shadow_of(elements);
    for (const auto& row : path_rows(shadow, 0, 0.25)) {
      for (const auto line : {PathLine::north, PathLine::south}) {
        if (!row[line] || !row[PathLine::centre]) continue;
        const auto kind_towards = [&](double share) {
          auto site = *row[line];
          const double east =
              std::remainder(row[PathLine::centre]->longitude.value - site.longitude.value, 360);
          site.latitude.value += share * (row[PathLine::centre]->latitude.value - site.latitude.value);
          site.longitude.value += share * east;
          return solve(shadow, Observer{site}).kind;
        };
        CHECK(kind_towards(0.002) != Kind::partial);
        CHECK(kind_towards(-0.002) == Kind::partial);
      }
    }
  }
}

TEST_CASE("an eclipse that is partial everywhere has no path: one whose axis passes by has one limit") {
  for (const auto* date : {"2018-02-15", "2025-03-29", "2029-01-14"}) {
    const auto shadow = shadow_of(*find_elements(built_in_elements(), *parse_date(date)));
    CHECK(path_rows(shadow, 0, 0.25).empty());
  }
  // 2043-04-09 and 2043-10-03 are the non-central ones of NASA's catalog in our years.
  for (const auto* date : {"2043-04-09", "2043-10-03"}) {
    CAPTURE(date);
    const auto shadow = shadow_of(*find_elements(built_in_elements(), *parse_date(date)));
    CHECK_FALSE(span_of(shadow, PathLine::centre, {0}));
    CHECK(span_of(shadow, PathLine::north, {0}).has_value() !=
          span_of(shadow, PathLine::south, {0}).has_value());
    CHECK_FALSE(path_rows(shadow, 0, 0.25).empty());
  }
}

TEST_CASE("a traced line leaves no gaps") {
  const auto shadow = shadow_of(*find_elements(built_in_elements(), *parse_date("2026-08-12")));
  for (const auto line : all_path_lines) {
    const auto sites = trace(shadow, line, {50'000});
    REQUIRE(sites.size() > 100);
    for (std::size_t n = 1; n < sites.size(); ++n)
      CHECK(distance_between(sites[n - 1], sites[n]).value < 60'000);
  }
}

TEST_CASE("wherever a site is, what is said of the path is finite and of one piece") {
  for (const auto* date : {"2026-08-12", "2031-11-14", "2035-09-02", "2043-10-03", "2044-02-28"}) {
    const auto& elements = *find_elements(built_in_elements(), *parse_date(date));
    CAPTURE(date);
    for (const double latitude : {-90.0, -61.0, 0.0, 36.0, 87.0, 90.0}) {
      for (const double longitude : {-180.0, -25.0, 44.0, 180.0}) {
        CAPTURE(latitude);
        CAPTURE(longitude);
        const auto found = circumstances(elements, {{latitude}, {longitude}, {2500}});
        const auto on = on_path(elements, found, {});
        REQUIRE(on);
        CHECK(on->limit.distance.value >= 0);
        CHECK(on->limit.distance.value < 20'038'000);  // half the equator
        CHECK(on->limit_error.value > 0);
        CHECK(std::isfinite(on->limit_error.value));
        CHECK((on->here > Duration{}) == (found.kind == Kind::total || found.kind == Kind::annular));
        if (on->centre) CHECK(on->at_centre > Duration{});
        if (on->gain) CHECK(on->gain->seconds_per_km >= 0);
      }
    }
  }
}

TEST_CASE("a mountain under a low Sun is nearer to another part of the path than the plain below") {
  // At the end of 2026 the Sun is 2.6 degrees up over Majorca: a kilometre of height is 22 km along the
  // shadow.
  const auto& elements = *find_elements(built_in_elements(), *parse_date("2026-08-12"));
  const Site plain{{39.57}, {2.65}, {0}};
  const Site mountain{{39.57}, {2.65}, {1000}};
  const auto low = *on_path(elements, circumstances(elements, plain), {});
  const auto high = *on_path(elements, circumstances(elements, mountain), {});
  const double moved = (high.limit.distance.value - low.limit.distance.value) / 1000;
  CHECK(std::abs(moved) > 1);  // across: the shadow runs nearly along the sunbeam there
  CHECK(std::abs(moved) < 22);
}
