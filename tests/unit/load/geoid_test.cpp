#include <cstdlib>

#include <doctest/doctest.h>

#include "daemon/load/geoid.h"
#include "lib/contacts/settings.h"

using namespace noonfall;

TEST_CASE("sea level lies where EGM96 has it") {
  const load::Geoid geoid;
  REQUIRE(geoid.has_grid());
  struct Point {
    double latitude, longitude, metres;
  };
  // GeoidEval(1) of Debian's geographiclib-tools prints the first, from the 5' grid. The others are NGA's
  // test points for EGM96 (OUTPUT.DAT of program F477), from memory. A 15' grid is within half a metre of
  // either.
  for (const auto& [latitude, longitude, metres] :
       {Point{16.775833, -3.009444, 28.7068}, Point{38.6281550, 269.7791550 - 360, -31.628},
        Point{-14.6212170, 305.0211140 - 360, -2.969}, Point{46.8743190, 102.4487290, -43.575},
        Point{-23.6174460, 133.8747120, 15.871}, Point{38.6254730, -0.0005, 50.066},
        Point{-0.4667440, 0.0023, 17.329}}) {
    CAPTURE(latitude);
    CHECK(std::abs(geoid.height_at({latitude}, {longitude})->value - metres) < 0.5);
  }
  for (const double longitude : {-180.0, 180.0}) CHECK(geoid.height_at({0}, {longitude}).has_value());
  for (const double latitude : {-90.0, 90.0}) CHECK(geoid.height_at({latitude}, {0}).has_value());
}

TEST_CASE("a height above sea level becomes one above the ellipsoid, another stays") {
  const load::Geoid geoid;
  const contacts::Site given{{16.775833}, {-3.009444}, {260}};
  const auto raised = load::place(given, load::HeightDatum::sea_level, geoid);
  CHECK(std::abs(raised.site.height.value - 288.7) < 0.2);
  CHECK(raised.as_given.value == 260);
  CHECK(raised.geoid_error.value == 0);
  const auto same = load::place(given, load::HeightDatum::ellipsoid, geoid);
  CHECK(same.site == given);
  CHECK_FALSE(same.geoid.has_value());
}
