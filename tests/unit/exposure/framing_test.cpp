#include "lib/exposure/framing.h"

#include <doctest/doctest.h>

using namespace noonfall;
using namespace noonfall::exposure;

TEST_CASE("the Sun's image has the sizes the bulletins print") {
  // NASA RP 1318 (1994) and TP-1999-209484 (2001), "Eclipse Photography": focal length / 109.
  CHECK(sun_image_by_rule({50}).value == doctest::Approx(0.5).epsilon(0.1));
  CHECK(sun_image_by_rule({200}).value == doctest::Approx(1.9).epsilon(0.04));
  CHECK(sun_image_by_rule({500}).value == doctest::Approx(4.6).epsilon(0.005));
  CHECK(sun_image_by_rule({1000}).value == doctest::Approx(9.2).epsilon(0.005));
}

TEST_CASE("the exact image is 1 / 107.5 of the focal length") {
  // Arithmetic: 2 tan 959.63".
  CHECK(1000 / sun_image({1000}).value == doctest::Approx(107.47).epsilon(1e-4));
  CHECK(sun_image({2000}).value == doctest::Approx(18.61).epsilon(5e-4));
  CHECK(sun_image({1000}, Arcseconds{961.12}).value > sun_image({1000}).value);
}

TEST_CASE("the rule's image lies within 2 percent of the exact one at every focal length") {
  for (double f = 10; f < 5000; f *= 1.3) {
    CHECK(sun_image_by_rule({f}).value == doctest::Approx(sun_image({f}).value).epsilon(0.02));
  }
}

TEST_CASE("a 36 by 24 mm sensor sees the angles the bulletins print") {
  // The field-of-view table of the NASA bulletins' photography chapter, long lenses, degrees.
  CHECK(field_of_view({36}, {500}).value == doctest::Approx(4.1).epsilon(0.01));
  CHECK(field_of_view({24}, {500}).value == doctest::Approx(2.7).epsilon(0.02));
  CHECK(field_of_view({36}, {1000}).value == doctest::Approx(2.1).epsilon(0.02));
  CHECK(field_of_view({36}, {50}).value == doctest::Approx(39.6).epsilon(0.002));
}

TEST_CASE("one pixel of 4.3 um at 500 mm is crossed in 0.118 s at the celestial equator") {
  // Arithmetic: 4.3 * 206.265 / (500 * 15.041).
  CHECK(longest_untrailed({500}, {4.3}, Degrees{0}).value == doctest::Approx(0.118).epsilon(0.002));
  CHECK(longest_untrailed({500}, {4.3}, Degrees{60}).value == doctest::Approx(0.236).epsilon(0.002));
  CHECK(longest_untrailed({500}, {4.3}, Degrees{-60}).value == doctest::Approx(0.236).epsilon(0.002));
  CHECK(longest_untrailed({500}, {4.3}, Degrees{0}, 3).value == doctest::Approx(0.354).epsilon(0.002));
  CHECK(longest_untrailed({500}, {4.3}, Degrees{90}).value < 10);
}

TEST_CASE("the film-era rule lets the image trail 25 um at every focal length") {
  // 340 s / f(mm): from memory. Arithmetic: 340 * 15.041" of 1 mm is 24.8 um.
  CHECK(longest_untrailed_on_film({500}).value == doctest::Approx(0.68));
  for (double f = 20; f < 3000; f *= 1.7) {
    CHECK(longest_untrailed_on_film({f}).value ==
          doctest::Approx(longest_untrailed({f}, {24.8}, Degrees{0}).value).epsilon(0.002));
  }
}
