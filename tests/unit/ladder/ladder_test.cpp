#include "lib/ladder/ladder.h"

#include <cmath>
#include <cstdio>
#include <cstdlib>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "lib/body/shipped.h"
#include "lib/exposure/brightness.h"
#include "lib/exposure/scale.h"

using namespace noonfall;
using namespace noonfall::ladder;

namespace {

using exposure::Shutter;
using exposure::SubjectKind;

const body::SensorPixel usual{52000, 3.2, {100}};
const Optics light{usual, {80}, {}};

Task task(const body::Profile& profile, double seconds, Shutter longest = {8, 1}) {
  return {profile,
          {sensor_of(profile, {}), {80}, {}},
          exposure::FNumber{80},
          {100},
          {SubjectKind::corona, 0.05, 4},
          exposure::within(profile.choices.shutters, profile.choices.shutters.front(), longest),
          from_seconds(seconds)};
}

double worst_of(const Task& task, std::span<const Shutter> rungs) {
  return worst(signals(task.light, frames_in_time(task, rungs), task.corona));
}

}  // namespace

TEST_CASE("the corona falls off as Baumbach has it") {
  // Baumbach 1937, as in Allen, Astrophysical Quantities: by distance from the centre, over the disc's
  // centre.
  const struct {
    double r;
    double brightness;
  } rows[] = {{1.1, 1.28e-6}, {1.2, 5.47e-7}, {1.5, 1.05e-7}, {2, 2.06e-8}, {3, 4.06e-9}, {5, 9.7e-10}};
  for (const auto& row : rows) {
    CAPTURE(row.r);
    const double ratio = corona_electrons(light, row.r - 1) / corona_electrons(light, 1);
    CHECK(ratio == doctest::Approx(row.brightness / 2.06e-8).epsilon(0.01));
  }
}

TEST_CASE("the published exposure puts 1 radius at middle grey, and the sky a little under 4 radii") {
  // NASA RP 1369, Table 16: Q 1, at f/8 and ISO 100 0.32 s. ISO 12232: saturation at 78 / ISO lx s, grey
  // at 10.
  const double seconds = exposure::ideal_seconds({1}, {80}, {100}).value;
  CHECK(corona_electrons(light, 1) * seconds == doctest::Approx(52000 * 10.0 / 78));
  // Sky meters in Idaho, 2017: 2.8e-10 to 6.4e-10 of the mean disc, 0.8 of the centre; Baumbach at r =
  // 5 9.7e-10.
  const double over_corona = sky_electrons(light) / corona_electrons(light, 4);
  CHECK(over_corona > 2.8 * 0.8 / 9.7);
  CHECK(over_corona < 6.4 * 0.8 / 9.7);
}

TEST_CASE("noise is that of photons, sky and reading, and a frame that clips counts for nothing") {
  const double corona = corona_electrons(light, 2) * exposure::exact_seconds({1, 4});
  const double sky = sky_electrons(light) * exposure::exact_seconds({1, 4});
  const Frames one[] = {{{1, 4}, {100}, 1}};
  CHECK(stacked(light, one, 2) == doctest::Approx(corona / std::sqrt(corona + sky + 3.2 * 3.2)));
  const Frames four[] = {{{1, 4}, {100}, 4}};
  CHECK(stacked(light, four, 2) == doctest::Approx(2 * stacked(light, one, 2)));
  const Frames clipped[] = {{{2, 1}, {100}, 100}};
  CHECK(stacked(light, clipped, 0.1) == 0);
  // at ISO 400 a quarter of the full well is left
  const Frames low[] = {{{1, 4}, {100}, 1}};
  const Frames high[] = {{{1, 4}, {400}, 1}};
  CHECK(stacked(light, low, 1) > 0);
  CHECK(stacked(light, high, 1) > 0);
  CHECK(stacked(light, low, 0.5) > 0);
  CHECK(stacked(light, high, 0.5) == 0);
}

TEST_CASE("frames in time are those of whole sets and the rest of the last") {
  const auto profile = *body::find_shipped("mirrorless-20");
  const Shutter rungs[] = {{1, 1000}, {1, 4}};
  // 1/1000: 400 ms to the next; 1/4: 480 ms; settings fit in between. Two sets are over after 1.53 s.
  const auto frames = frames_in_time(task(profile, 2.3), rungs);
  CHECK(frames[0].count == 3);
  CHECK(frames[1].count == 3 - (0.88 * 2 + 0.4 + 0.25 > 2.3 ? 1 : 0));
}

TEST_CASE(
    "the ladder is never worse than equal steps, from 20 s to 7 min, whatever the body, mount and heights") {
  // docs/accuracy.md has this table, made with NOONFALL_LADDER_TABLE=1.
  const bool table = std::getenv("NOONFALL_LADDER_TABLE") != nullptr;
  const auto whole = [](const std::vector<Signal>& all) {
    std::string words;
    for (const double radii : {0.1, 0.2})
      words += fmt::format(" {:.0f}", std::ranges::find(all, radii, &Signal::radii)->to_noise);
    return words;
  };
  for (const auto& shipped : body::shipped_profiles()) {
    const auto profile = *body::find_shipped(shipped.name);
    for (const Shutter longest : {Shutter{8, 1}, Shutter{1, 4}}) {  // tracking; fixed, 600 mm at 5.9 um
      for (const double low : {0.05, 0.1, 0.2}) {
        for (const double seconds :
             {5.0, 10.0, 20.0, 40.0, 60.0, 90.0, 120.0, 180.0, 240.0, 300.0, 360.0, 420.0}) {
          CAPTURE(profile.name);
          CAPTURE(seconds);
          CAPTURE(low);
          auto asked = task(profile, seconds, longest);
          asked.corona.low_radii = low;
          const auto best = best_ladder(asked);
          const auto equal = equal_steps(asked);
          CHECK(worst_of(asked, best) >= worst_of(asked, equal));
          CHECK(std::ranges::is_sorted(best, exposure::shorter));
          if (!table || low != 0.1 || seconds < 20) continue;
          const auto ours = signals(asked.light, frames_in_time(asked, best), asked.corona);
          const auto theirs = signals(asked.light, frames_in_time(asked, equal), asked.corona);
          fmt::print("{} {} {}: {:.0f} {:.0f},{},{}\n", profile.name, exposure::to_text(longest), seconds,
                     worst(ours), worst(theirs), whole(ours), whole(theirs));
        }
      }
    }
  }
}

TEST_CASE("no ladder of equal steps of another width beats it") {
  const auto profile = *body::find_shipped("mirrorless-20");
  for (const double seconds : {20.0, 100.0, 250.0}) {
    const auto asked = task(profile, seconds);
    const double ours = worst_of(asked, best_ladder(asked));
    for (const double by : {1.0, 4.0 / 3, 5.0 / 3, 2.0, 2.5, 3.0})
      CHECK(ours >= worst_of(asked, equal_steps(asked, {by})) * 0.999);
  }
}

TEST_CASE("a profile's own sensor goes before the guess by pixel size") {
  auto profile = *body::find_shipped("mirror-24");
  CHECK(sensor_of(profile, Micrometres{6}).full_well_e == 1500 * 36);
  profile.sensor = usual;
  CHECK(sensor_of(profile, Micrometres{6}) == usual);
}
