// The light of the simulated sky against published laws and measurements.
#include <cmath>

#include <doctest/doctest.h>

#include "lib/base/units.h"
#include "sim/sky/exposed.h"

using namespace noonfall;
using doctest::Approx;

TEST_CASE("over the whole disc limb darkening comes to its mean, in each colour") {
  // Neckel & Labs 1994: each row of coefficients reproduces the published ratio of mean to centre.
  std::array<double, 3> sum{};
  constexpr int rings = 20'000;
  for (int n = 0; n < rings; ++n) {
    const double share = (n + 0.5) / rings;
    const auto light = sim::disc_light(share);
    for (std::size_t c = 0; c < 3; ++c) sum[c] += double{light[c]} * 2 * share / rings;
  }
  for (const double each : sum) CHECK(each == Approx(1).epsilon(0.001));
  // At 541.76 nm the edge has 0.2607 of the centre, and mu = 0.6 has 0.769.
  CHECK(sim::disc_light(1)[1] / sim::disc_light(0)[1] == Approx(0.2607).epsilon(0.001));
  CHECK(sim::disc_light(0.8)[1] / sim::disc_light(0)[1] == Approx(0.769).epsilon(0.001));
  // The edge is redder than the middle.
  CHECK(sim::disc_light(0.98)[0] / sim::disc_light(0.98)[2] >
        1.2 * sim::disc_light(0)[0] / sim::disc_light(0)[2]);
}

TEST_CASE("the corona's radial law is Baumbach's, and sums up to half a full Moon") {
  // Values of B = 1e-6 (2.565 r^-17 + 1.425 r^-7 + 0.0532 r^-2.5), of the disc's centre, worked out by hand.
  constexpr double mean_of_centre = 0.8002;
  CHECK(sim::corona_light(1.1) * mean_of_centre == Approx(1.28e-6).epsilon(0.01));
  CHECK(sim::corona_light(2) * mean_of_centre == Approx(2.06e-8).epsilon(0.01));
  CHECK(sim::corona_light(5) * mean_of_centre == Approx(9.7e-10).epsilon(0.01));
  // Total light of the corona: 0.8e-6 to 1.3e-6 of the Sun's (Allen's Astrophysical Quantities, from memory).
  double sum = 0;
  for (double r = 1.03; r < 20; r += 0.001) sum += sim::corona_light(r) * 2 * r * 0.001;
  CHECK(sum > 0.8e-6);
  CHECK(sum < 1.4e-6);
}

TEST_CASE("one day's corona keeps near the law all around, and another day's looks otherwise") {
  const sim::Corona one{1};
  const sim::Corona other{2};
  double differ = 0;
  for (const double r : {1.1, 1.5, 2.0, 4.0}) {
    double sum = 0;
    for (int n = 0; n < 360; ++n) {
      const double turn = n / 360.0;
      sum += one.light(r, turn) / sim::corona_light(r) / 360;
      differ =
          std::max(differ, std::abs(std::log2(double{one.light(r, turn)} / double{other.light(r, turn)})));
    }
    CHECK(sum > 0.4);
    CHECK(sum < 2.5);
  }
  CHECK(differ > 0.3);
}

TEST_CASE("at the exposure guide's settings each subject comes near a middle grey") {
  // NASA RP 1369, table 16: t = N^2 / (ISO 2^Q). The corona's measured brightness falls more steeply than the
  // guide's; within 3 stops out to one solar radius.
  const auto grey_off = [](double q, double light) {
    const double seconds = 64 / (400 * std::exp2(q));
    // share_of_full is for exposures by their names: the nearest is taken, and its own time counted.
    const exposure::Exposure one_second{{1, 1}, exposure::FNumber{80}, {400}};
    return std::log2(sim::share_of_full(one_second) * seconds * light / exposure::middle_grey);
  };
  struct Row {
    double height;
    double q;
  };
  for (const auto& [height, q] : {Row{0.1, 7}, Row{0.2, 5}, Row{0.5, 3}, Row{1, 1}}) {
    CAPTURE(height);
    CHECK(std::abs(grey_off(q, sim::corona_light(1 + height))) < 3);
  }
  CHECK(std::abs(grey_off(11, sim::chromosphere_light)) < 3);
  CHECK(std::abs(grey_off(9, sim::prominence_light)) < 3);
  // Through ND 5: bright, and not full. The guide's disc is 2.3 stops over a middle grey of 1.6e9 cd/m2.
  CHECK(grey_off(8, 1e-5) == Approx(2.3).epsilon(0.05));
  CHECK(exposure::middle_grey * std::exp2(grey_off(8, 1e-5)) * double{sim::disc_light(0)[1]} < 1);
  // The sky in totality, 2.8 to 6.4e-10 of the disc (sky meters, Idaho 2017).
  CHECK(sim::sky_in_totality > 2.8e-10);
  CHECK(sim::sky_in_totality < 6.4e-10);
}
