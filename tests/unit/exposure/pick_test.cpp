#include "lib/exposure/bracket.h"

#include <cmath>
#include <limits>
#include <vector>

#include <doctest/doctest.h>

#include "lib/exposure/scale.h"

using namespace noonfall;
using namespace noonfall::exposure;

namespace {

constexpr Seconds unlimited{std::numeric_limits<double>::infinity()};

std::optional<Pick> pick(Brightness brightness, Shutter from, Shutter to, FNumber wide, FNumber narrow,
                         Iso low, Iso high, Seconds longest = unlimited) {
  return pick_exposure(brightness, within(third_stop_shutters(), from, to),
                       within(third_stop_f_numbers(), wide, narrow), within(third_stop_isos(), low, high),
                       longest);
}

constexpr Brightness prominences{9};  // f/8 ISO 100: 1/800

}  // namespace

TEST_CASE("one setting left open gets the value of the table") {
  CHECK(pick(prominences, {1, 8000}, {30, 1}, {80}, {80}, {100}, {100})->exposure ==
        Exposure{{1, 800}, FNumber{80}, {100}});
  CHECK(pick(prominences, {1, 2000}, {1, 2000}, {80}, {80}, {100}, {6400})->exposure.iso == Iso{250});
  CHECK(pick(prominences, {1, 800}, {1, 800}, {28}, {220}, {100}, {100})->exposure.aperture == FNumber{80});
}

TEST_CASE("the lowest ISO is taken whose shutter isn't longer than wanted") {
  // 64 / (ISO 2^9): 1/800 at ISO 100, 1/2000 at 250
  CHECK(pick(prominences, {1, 8000}, {1, 60}, {80}, {80}, {100}, {6400})->exposure ==
        Exposure{{1, 800}, FNumber{80}, {100}});
  CHECK(pick(prominences, {1, 8000}, {1, 60}, {80}, {80}, {100}, {6400}, {1.0 / 2000})->exposure ==
        Exposure{{1, 2000}, FNumber{80}, {250}});
  // common practice, no source: the partial phase through a filter of density 5 at f/8, not slower than 1/500
  CHECK(pick({8}, {1, 8000}, {1, 60}, {80}, {80}, {100}, {1600}, {1.0 / 500})->exposure ==
        Exposure{{1, 500}, FNumber{80}, {125}});
}

TEST_CASE("short of that the ISO goes up to its own limit") {
  CHECK(pick(prominences, {1, 8000}, {1, 60}, {80}, {80}, {100}, {400}, {1.0 / 8000})->exposure ==
        Exposure{{1, 3200}, FNumber{80}, {400}});
}

TEST_CASE("with the shortest shutter within reach a wide aperture saves ISO") {
  CHECK(pick(prominences, {1, 1600}, {1, 60}, {40}, {110}, {50}, {6400})->exposure ==
        Exposure{{1, 1600}, FNumber{40}, {50}});
}

TEST_CASE("a shorter time within a sixth of a stop goes before a nearer one") {
  // Ideal is 1/800; 1/830 is 0.05 stop off, 1/900 0.17.
  const Shutter shutters[] = {{1, 900}, {1, 830}, {1, 800}, {1, 700}};
  const FNumber apertures[] = {{80}};
  const Iso isos[] = {{100}};
  CHECK(pick_exposure(prominences, shutters, apertures, isos, unlimited)->exposure.shutter ==
        Shutter{1, 830});
}

TEST_CASE("out of reach the nearest light is taken and the miss is told") {
  const auto dark = pick({-3}, {1, 8000}, {1, 1}, {80}, {80}, {100}, {100});
  CHECK(dark->exposure.shutter == Shutter{1, 1});
  CHECK(dark->off.value == doctest::Approx(-std::log2(5.12)));  // 64 / (100 * 2^-3) = 5.12 s
  const auto bright = pick({20}, {1, 2000}, {1, 1}, {80}, {80}, {100}, {400});
  CHECK(bright->exposure == Exposure{{1, 2000}, FNumber{80}, {100}});
  CHECK(bright->off.value > 5);
}

TEST_CASE("nothing to choose from gives nothing") {
  CHECK_FALSE(pick(prominences, {1, 60}, {1, 125}, {80}, {80}, {100}, {100}));
  CHECK_FALSE(pick_exposure(prominences, third_stop_shutters(), {}, third_stop_isos(), unlimited));
}

TEST_CASE("what the limits allow is met within a sixth of a stop, whatever the brightness") {
  for (double q = -3; q <= 12; q += 0.17) {
    CAPTURE(q);
    const auto found = pick({q}, {1, 8000}, {30, 1}, {80}, {80}, {100}, {3200});
    REQUIRE(found);
    CHECK(std::abs(found->off.value) <= 1.0 / 6 + 1e-6);
    const double ideal = ideal_seconds({q}, *found->exposure.aperture, found->exposure.iso).value;
    CHECK(std::log2(exact_seconds(found->exposure.shutter) / ideal) == doctest::Approx(found->off.value));
  }
}
