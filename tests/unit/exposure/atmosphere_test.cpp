#include "lib/exposure/brightness.h"

#include <doctest/doctest.h>

using namespace noonfall;
using namespace noonfall::exposure;

TEST_CASE("air mass follows Kasten and Young 1989") {
  // Applied Optics 28, 4735: by zenith angle in degrees.
  const struct {
    double zenith_angle_deg;
    double airmass;
  } rows[] = {{0, 0.9997},  {30, 1.1540}, {45, 1.4126}, {60, 1.9943}, {70, 2.9031}, {75, 3.8129},
              {80, 5.5860}, {85, 10.306}, {88, 19.433}, {89, 26.311}, {90, 37.920}};
  for (const auto& row : rows) {
    CAPTURE(row.zenith_angle_deg);
    CHECK(noonfall::exposure::airmass(Degrees{90 - row.zenith_angle_deg}) ==
          doctest::Approx(row.airmass).epsilon(1e-4));
  }
}

TEST_CASE("below the horizon the air mass is the horizon's") {
  CHECK(airmass(Degrees{-3}) == airmass(Degrees{0}));
}

TEST_CASE("extinction at 0.2 magnitudes has the usual stops") {
  // From memory: 0.53 stop at 30 degrees, 1.5 at 10, 2.7 at 5, 5.2 at 2.
  CHECK(extinction(Degrees{30}).value == doctest::Approx(0.53).epsilon(0.01));
  CHECK(extinction(Degrees{10}).value == doctest::Approx(1.5).epsilon(0.02));
  CHECK(extinction(Degrees{5}).value == doctest::Approx(2.7).epsilon(0.02));
  CHECK(extinction(Degrees{2}).value == doctest::Approx(5.2).epsilon(0.01));
}

TEST_CASE("a lower Sun needs more exposure, one above 60 degrees none") {
  CHECK(low_sun_stops(Degrees{60}).value == 0);
  CHECK(low_sun_stops(Degrees{90}).value == 0);
  double last = 0;
  for (double altitude = 59; altitude >= 0; --altitude) {
    const double now = low_sun_stops(Degrees{altitude}).value;
    CHECK(now > last);
    last = now;
  }
}

TEST_CASE("clear air takes 0.2 magnitudes at the sea and less on a mountain") {
  // From memory: 0.20 to 0.28 at sea level, 0.12 to 0.15 on a mountain (2,000 m).
  CHECK(clear_air_magnitudes_at(Metres{0}) == doctest::Approx(0.2));
  CHECK(clear_air_magnitudes_at(Metres{2000}) == doctest::Approx(0.12).epsilon(0.05));
  CHECK(clear_air_magnitudes_at(Metres{4000}) < clear_air_magnitudes_at(Metres{2000}));
}

TEST_CASE("a landscape in totality is some thirteen stops darker than by day") {
  // From memory: 1e5 lx in full sunshine, 1 to 10 lx in totality.
  const Crescent total{1.05, 0};
  CHECK(landscape_stops(Degrees{60}, {1, 3}).value == 0);
  CHECK(landscape_stops(Degrees{60}, total).value == doctest::Approx(13.4).epsilon(0.02));
  // 400 lx at sunset: 8 stops less than 1e5.
  CHECK(landscape_stops(Degrees{0}, {1, 3}).value == doctest::Approx(8).epsilon(0.05));
}

TEST_CASE("a landscape darkens smoothly up to totality") {
  double last = 0;
  for (double distance = 2.05; distance >= 0.0; distance -= 0.01) {
    CAPTURE(distance);
    const double now = landscape_stops(Degrees{60}, {1.05, distance}).value;
    CHECK(now >= last);
    CHECK(now - last < 5);
    last = now;
  }
}
