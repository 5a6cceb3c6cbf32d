#include "lib/exposure/scale.h"

#include <doctest/doctest.h>

using namespace noonfall::exposure;

TEST_CASE("f/8, 1/125, ISO 100 has the APEX values of the standard") {
  // ANSI PH2.12 as in Exif 2.32: Av 6, Tv 7, Sv 5, Ev 13; Tv from the printed 1/125 would be 6.97.
  CHECK(aperture_value({80}).value == doctest::Approx(6));
  CHECK(time_value({1, 125}).value == doctest::Approx(7));
  CHECK(speed_value({100}).value == doctest::Approx(5));
  CHECK(exposure_value({{1, 125}, FNumber{80}, {100}}).value == doctest::Approx(13));
}

TEST_CASE("full-stop names have the whole APEX values of the standard") {
  // Exif 2.32 annex: Av 0 1 2 3 4 5 6 7 8 9 10 for f/1 … f/32, Tv -5 … 11 for 30 s … 1/2000.
  const FNumber apertures[] = {{10}, {14}, {20}, {28}, {40}, {56}, {80}, {110}, {160}, {220}, {320}};
  double av = 0;
  for (const auto aperture : apertures) CHECK(aperture_value(aperture).value == doctest::Approx(av++));
  const Shutter shutters[] = {{30, 1},  {15, 1},  {8, 1},   {4, 1},    {2, 1},   {1, 1},
                              {1, 2},   {1, 4},   {1, 8},   {1, 15},   {1, 30},  {1, 60},
                              {1, 125}, {1, 250}, {1, 500}, {1, 1000}, {1, 2000}};
  double tv = -5;
  for (const auto shutter : shutters) CHECK(time_value(shutter).value == doctest::Approx(tv++));
}

TEST_CASE("stops between two exposures add up over shutter, aperture and ISO") {
  const Exposure base{{1, 1000}, FNumber{80}, {100}};
  CHECK(stops_between(base, {{1, 250}, FNumber{80}, {100}}).value == doctest::Approx(2));
  CHECK(stops_between(base, {{1, 1000}, FNumber{56}, {100}}).value == doctest::Approx(1));
  CHECK(stops_between(base, {{1, 1000}, FNumber{80}, {800}}).value == doctest::Approx(3));
  CHECK(stops_between(base, {{1, 500}, FNumber{110}, {100}}).value == doctest::Approx(0));
  CHECK(stops_between(base, {{1, 500}, std::nullopt, {100}}).value == doctest::Approx(1));
}

TEST_CASE("stops there are stops back with the sign turned") {
  const auto shutters = third_stop_shutters();
  for (std::size_t i = 0; i + 7 < shutters.size(); i += 7) {
    const Exposure a{shutters[i], FNumber{40}, {200}};
    const Exposure b{shutters[i + 7], FNumber{71}, {1600}};
    CHECK(stops_between(a, b).value == doctest::Approx(-stops_between(b, a).value));
  }
}
