#include "lib/exposure/brightness.h"

#include <doctest/doctest.h>

using namespace noonfall::exposure;

namespace {

constexpr double moon = 1.03;

/// The Moon covering this fraction of the Sun's diameter.
Crescent covered(double magnitude) {
  return {moon, 1 + moon - 2 * magnitude};
}

}  // namespace

TEST_CASE("the whole disc is 0.80 of its centre in green light") {
  // Neckel & Labs 1994, Solar Physics 153, 91: mean over centre at 541.76 nm.
  CHECK(mean_intensity(covered(0)) == doctest::Approx(0.8002).epsilon(5e-4));
}

TEST_CASE("a crescent of one percent of the diameter is 0.35 to 0.45 of the centre") {
  // From the same limb darkening: such a crescent lies at mu < 0.2.
  const double mean = mean_intensity(covered(0.99));
  CHECK(mean > 0.35);
  CHECK(mean < 0.45);
}

TEST_CASE("a crescent needs more exposure than the whole Sun, and two stops at most") {
  // NASA RP 1369: up to two more stops for the thin crescent.
  CHECK(crescent_stops(covered(0)).value == doctest::Approx(0));
  CHECK(crescent_stops(covered(0.99)).value > 0.8);
  CHECK(crescent_stops(covered(0.9999)).value < 2);
  double last = 0;
  for (double magnitude = 0.5; magnitude < 0.9995; magnitude += 0.01) {
    const double now = crescent_stops(covered(magnitude)).value;
    CAPTURE(magnitude);
    CHECK(now > last);
    last = now;
  }
}

TEST_CASE("an annulus is treated like a crescent, and nothing visible asks for nothing") {
  CHECK(crescent_stops({0.95, 0}).value > 0.5);
  CHECK(mean_intensity({1.05, 0}) == 0);
  CHECK(crescent_stops({1.05, 0}).value == 0);
}
