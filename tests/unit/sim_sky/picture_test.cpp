// Pictures of an eclipse against its geometry as the contacts have it, and their noise against its formula.
#include <algorithm>
#include <cmath>
#include <numeric>
#include <span>

#include <doctest/doctest.h>

#include "lib/contacts/angles.h"
#include "lib/contacts/circumstances.h"
#include "lib/contacts/solve.h"
#include "lib/exposure/framing.h"
#include "lib/time/utc_text.h"
#include "sim/sky/stack.h"

using namespace noonfall;
using namespace std::chrono_literals;
using doctest::Approx;

namespace {

const contacts::Site headland{{36.0139}, {-5.6033}, {12}};

const contacts::Elements& elements() {
  return *contacts::find_elements(contacts::built_in_elements(), *parse_date("2027-08-02"));
}

contacts::Settings settings() {
  const auto& leaps = built_in_leap_seconds();
  return contacts::settings_for(leaps, to_utc(elements().greatest(), leaps), Duration{50'000});
}

sim::Scene scene() {
  return {elements(), settings(), headland, nullptr};
}

/// Lit so that the photosphere is bright and everything else nothing.
sim::Shooting filtered(Utc at) {
  return {at, at + 1ms, {{1, 1000}, exposure::FNumber{80}, {200}}, 5.0, scene().at(at), 1};
}

constexpr double visible =
    0.2e-5;  // of what is behind ND 5: less than the Sun's very edge, more than all else

struct Spot {
  double pixels = 0;
  double x = 0;  // centroid
  double y = 0;
};
Spot spot_of(const sim::Radiance& picture, double least = visible / 2) {
  Spot spot;
  for (int y = 0; y < picture.height; ++y) {
    for (int x = 0; x < picture.width; ++x) {
      const auto light = picture.light[static_cast<std::size_t>(y * picture.width + x)][1];
      if (double{light} < least) continue;
      spot.pixels += 1;
      spot.x += x + 0.5;
      spot.y += y + 0.5;
    }
  }
  spot.x /= spot.pixels;
  spot.y /= spot.pixels;
  return spot;
}

sim::Imager imager() {
  sim::Imager out;
  out.width = 1200;
  out.height = 800;
  return out;
}

sim::Radiance picture_at(Utc at) {
  return sim::radiance(scene(), sim::Corona{1}, imager(), filtered(at));
}

contacts::Circumstances contacts_here() {
  return contacts::circumstances(elements(), headland, settings());
}

/// Mean over deviation of a pixel that is `share` full, in one frame: photons', reading's, the converter's
/// steps.
double signal_to_noise(const sim::Imager& imager, const exposure::Exposure& exposure, double share) {
  const double full = sim::electrons_when_full(imager, exposure.iso);
  const double electrons = share * full;
  const double reading = imager.read_noise * imager.read_noise * imager.pixels_binned();
  const double step = full / (sim::Exposed::white - sim::Exposed::black);
  return electrons / std::sqrt(electrons + reading + step * step / 12);
}

}  // namespace

TEST_CASE(
    "the crescent's area is the uncovered part of the Sun, and it lies on the side away from the Moon") {
  const auto here = contacts_here();
  const auto c1 = here.at(contacts::ContactName::c1)->utc;
  const auto c2 = here.at(contacts::ContactName::c2)->utc;
  const auto whole = spot_of(picture_at(c1 - 1min));
  const double radius = std::sqrt(whole.pixels / pi);
  // A disc of 600 mm: its diameter on the sensor by exposure::sun_image.
  const double wanted = exposure::sun_image({600}, auwers_solar_radius).value / 35.9 * 1200 / 2;
  CHECK(radius == Approx(wanted).epsilon(0.02));  // the Sun of August is 1.5 % smaller than at 1 au
  CHECK(whole.x == Approx(600).epsilon(0.001));
  const contacts::Shadow shadow{elements(), here.delta_t, settings().solar_radius};
  const contacts::Observer observer{headland};
  for (const double share : {0.25, 0.5, 0.75, 0.9}) {
    CAPTURE(share);
    const auto at = c1 + std::chrono::duration_cast<Duration>((c2 - c1) * share);
    const auto aspect = scene().at(at);
    const auto crescent = spot_of(picture_at(at));
    CHECK(crescent.pixels / whole.pixels == Approx(aspect.uncovered).epsilon(0.02));
    // North is up and east on the left.
    const double t =
        in_seconds(to_tt(at, built_in_leap_seconds()).since_1970 - elements().t0().since_1970) / 3600;
    const double angle = radians(contacts::sun_angles(shadow, t, observer).position_angle);
    const double away = std::hypot(crescent.x - 600, crescent.y - 400);
    CHECK((crescent.x - 600) / away == Approx(std::sin(angle)).epsilon(0.03));
    CHECK((crescent.y - 400) / away == Approx(std::cos(angle)).epsilon(0.03));
    // Moments about the Sun's centre: what the Moon took and what is left balance.
    const double d = std::hypot(aspect.moon_east, aspect.moon_north);
    double taken = 0;
    double moment = 0;
    for (double x = -1; x < 1; x += 0.002) {
      for (double y = 0.001; y < 1; y += 0.002) {
        if (x * x + y * y > 1 || (x - d) * (x - d) + y * y > aspect.moon_radius * aspect.moon_radius)
          continue;
        taken += 2 * 0.002 * 0.002;
        moment += 2 * 0.002 * 0.002 * x;
      }
    }
    CHECK(away / radius == Approx(moment / (pi - taken)).epsilon(0.02));
  }
}

TEST_CASE("on a fixed mount the Sun moves with the sky, and out of the frame") {
  auto fixed = imager();
  fixed.mount = plan::Mount::fixed;
  const auto at = contacts_here().at(contacts::ContactName::c1)->utc - 5min;
  auto shooting = filtered(at);
  const auto middle = spot_of(sim::radiance(scene(), sim::Corona{1}, fixed, shooting));
  CHECK(middle.x == Approx(600).epsilon(0.001));
  CHECK(middle.y == Approx(400).epsilon(0.001));
  shooting.opened += 60s;
  shooting.closed += 60s;
  const auto later = spot_of(sim::radiance(scene(), sim::Corona{1}, fixed, shooting));
  const double moved = std::hypot(later.x - middle.x, later.y - middle.y) / fixed.pixels_per_radian();
  // The mean Sun goes 15.000" a second, by the cosine of its declination: 17.7 degrees on that day.
  CHECK(degrees(moved).value * 3600 / 60 == Approx(15.0 * std::cos(radians(Degrees{17.7}))).epsilon(0.01));
  CHECK(later.y < middle.y);  // before noon it climbs
  shooting.opened += 30min;
  shooting.closed += 30min;
  CHECK(spot_of(sim::radiance(scene(), sim::Corona{1}, fixed, shooting)).pixels == 0);
}

TEST_CASE("a long exposure on a fixed mount draws the Sun out along its way") {
  auto fixed = imager();
  fixed.mount = plan::Mount::fixed;
  auto shooting = filtered(contacts_here().at(contacts::ContactName::c1)->utc - 5min);
  const auto sharp = spot_of(sim::radiance(scene(), sim::Corona{1}, fixed, shooting)).pixels;
  shooting.closed = shooting.opened + 8s;
  // Where the Sun stood for a short while only, there is a little light.
  const auto drawn = spot_of(sim::radiance(scene(), sim::Corona{1}, fixed, shooting), visible / 20).pixels;
  const double trail =
      8 * 15.0 * std::cos(radians(Degrees{17.7})) / 3600 * pi / 180 * fixed.pixels_per_radian();
  const double width = 2 * std::sqrt(sharp / pi);
  CHECK(drawn == Approx(sharp + trail * width).epsilon(0.02));
}

TEST_CASE("the same seed gives the same picture, another seed another grain") {
  const auto at = contacts_here().at(contacts::ContactName::mid)->utc;
  sim::Shooting shooting{at, at + 100ms, {{1, 10}, exposure::FNumber{80}, {400}}, 0, scene().at(at), 5};
  const auto light = sim::radiance(scene(), sim::Corona{3}, imager(), shooting);
  const auto one = sim::exposed(light, imager(), shooting);
  CHECK(one.counts == sim::exposed(light, imager(), shooting).counts);
  CHECK(light.light == sim::radiance(scene(), sim::Corona{3}, imager(), shooting).light);
  shooting.seed = 6;
  CHECK(one.counts != sim::exposed(light, imager(), shooting).counts);
}

TEST_CASE("noise is what photons and reading make it, and what is too bright is full") {
  const auto small = imager();
  for (const double share : {0.001, 0.02, 0.3}) {
    for (const int iso : {100, 1600}) {
      CAPTURE(share);
      CAPTURE(iso);
      const exposure::Exposure exposure{{1, 125}, exposure::FNumber{80}, {iso}};
      sim::Radiance flat{200, 200, {}};
      const auto light = static_cast<float>(share / sim::share_of_full(exposure));
      flat.light.assign(40'000, {light, light, light});
      const auto picture = sim::exposed(flat, small, {{}, {}, exposure, 0, {}, 9});
      double sum = 0;
      double squares = 0;
      for (const auto count : picture.counts) {
        const double signal = count - sim::Exposed::black;
        sum += signal;
        squares += signal * signal;
      }
      const auto pixels = static_cast<double>(picture.counts.size());
      const double mean = sum / pixels;
      CHECK(mean / (sim::Exposed::white - sim::Exposed::black) == Approx(share).epsilon(0.01));
      const double measured = mean / std::sqrt(squares / pixels - mean * mean);
      CHECK(measured == Approx(signal_to_noise(small, exposure, share)).epsilon(0.05));
    }
  }
  const exposure::Exposure exposure{{1, 1}, exposure::FNumber{80}, {400}};
  sim::Radiance bright{1, 1, {{1, 1, 1}}};
  CHECK(sim::to_srgb(sim::exposed(bright, small, {{}, {}, exposure, 0, {}, 9})) ==
        std::vector<std::uint8_t>{255, 255, 255});
}

TEST_CASE(
    "a stack's measured signal to noise is the predicted one, and joined exposures give the light back") {
  // A patch of each brightness of the corona from 1.1 to 4 radii, four exposures, nine frames of each.
  const auto small = imager();
  constexpr int side = 100;
  sim::Radiance patches{side, side, {}};
  for (int n = 0; n < side * side; ++n) {
    const auto light = static_cast<float>(sim::corona_light(1.1 + n / 2000 * 0.7));
    patches.light.push_back({light, light, light});
  }
  sim::Joined joined;
  for (const exposure::Shutter shutter : {exposure::Shutter{1, 2000}, {1, 250}, {1, 30}, {1, 4}}) {
    const exposure::Exposure exposure{shutter, exposure::FNumber{80}, {400}};
    sim::Stack stack{small, exposure};
    for (std::uint64_t seed = 0; seed < 9; ++seed)
      stack.add(sim::exposed(patches, small, {{}, {}, exposure, 0, {}, seed * 77 + 5}));
    joined.add(stack);
    const auto mean = stack.mean();
    for (int patch = 0; patch < 5; ++patch) {
      const auto of_patch = std::span{mean}.subspan(static_cast<std::size_t>(patch) * 6000, 6000);
      const double share = sim::share_of_full(exposure) * sim::corona_light(1.1 + patch * 0.7);
      if (share > 0.8) continue;
      CAPTURE(share);
      const double middle = std::accumulate(of_patch.begin(), of_patch.end(), 0.0) / 6000;
      double squares = 0;
      for (const auto each : of_patch) squares += (each - middle) * (each - middle) / 6000;
      const double predicted = signal_to_noise(small, exposure, share) * 3;  // the root of nine frames
      CHECK(middle / std::sqrt(squares) == Approx(predicted).epsilon(0.15));
    }
  }
  const auto light = joined.light();
  for (int patch = 0; patch < 5; ++patch) {
    const auto of_patch = std::span{light}.subspan(static_cast<std::size_t>(patch) * 6000, 6000);
    CHECK(std::accumulate(of_patch.begin(), of_patch.end(), 0.0) / 6000 ==
          Approx(sim::corona_light(1.1 + patch * 0.7)).epsilon(0.01));
  }
}
