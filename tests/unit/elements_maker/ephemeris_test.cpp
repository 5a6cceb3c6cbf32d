// DE405 as read and summed here against ERFA's series of the Earth's motion, whose greatest differences from
// DE405 over 1900 to 2100 ERFA's epv00.c states: heliocentric 11.2 km and 5.0 mm/s, barycentric 13.4 km and
// 4.9 mm/s.
#include <cmath>

#include <doctest/doctest.h>
#include <erfa.h>

#include "tests/unit/elements_maker/de405.h"

using namespace noonfall::elements_maker;
using noonfall::tests::de405;

namespace {

constexpr double mjd_zero = 2400000.5;

double apart(const Vector& km, const double* au, double scale) {
  double square = 0;
  for (std::size_t axis = 0; axis < 3; ++axis) square += std::pow(km[axis] - au[axis] * scale, 2);
  return std::sqrt(square);
}

Motion minus(Motion a, const Motion& b) {
  for (std::size_t axis = 0; axis < 3; ++axis) {
    a.place[axis] -= b.place[axis];
    a.velocity[axis] -= b.velocity[axis];
  }
  return a;
}

}  // namespace

TEST_CASE("the Earth moves as ERFA's series say, to what they are good for") {
  constexpr double mm_s_per_km_day = 1e6 / 86400;
  const double au = de405().au_km();
  int compared = 0;
  for (double mjd = 36934; mjd < 73440; mjd += 17.37, ++compared) {
    CAPTURE(mjd);
    double heliocentric[2][3];
    double barycentric[2][3];
    REQUIRE(eraEpv00(mjd_zero, mjd, heliocentric, barycentric) == 0);
    const Epoch tdb{std::floor(mjd), (mjd - std::floor(mjd)) * 24};
    const auto earth = de405().earth(tdb);
    const auto from_sun = minus(earth, de405().sun(tdb));
    CHECK(apart(from_sun.place, heliocentric[0], au) < 11.2);
    CHECK(apart(from_sun.velocity, heliocentric[1], au) * mm_s_per_km_day < 5.0);
    CHECK(apart(earth.place, barycentric[0], au) < 13.4);
    CHECK(apart(earth.velocity, barycentric[1], au) * mm_s_per_km_day < 4.9);
  }
  CHECK(compared > 2000);
}

TEST_CASE("the Moon moves without a jump where records and stretches of records meet") {
  // A step of 1 ms across each boundary: the Moon goes 1.1 m at most, seen from the Earth.
  constexpr double step_h = 1e-3 / 3600;
  for (double mjd = 36916; mjd < 73488; mjd += 4) {  // a stretch of the Moon's series is four days long
    const auto before = minus(de405().moon({mjd, -step_h}), de405().earth({mjd, -step_h}));
    const auto after = minus(de405().moon({mjd, 0}), de405().earth({mjd, 0}));
    double square = 0;
    for (std::size_t axis = 0; axis < 3; ++axis)
      square += std::pow(after.place[axis] - before.place[axis], 2);
    CAPTURE(mjd);
    CHECK(std::sqrt(square) < 0.0012);
  }
}

TEST_CASE("instants the ephemeris doesn't reach and folders without one are refused") {
  CHECK_THROWS_WITH((void)de405().sun({36911, 23.9}), "an instant DE405 doesn't reach");
  CHECK_THROWS_WITH((void)de405().sun({73488, 0}), "an instant DE405 doesn't reach");
  const auto none = read_de405("/nonexistent");
  REQUIRE_FALSE(none);
  CHECK(none.error().find("can't read DE405 in /nonexistent: ") == 0);
}
