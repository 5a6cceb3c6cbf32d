// Many trials of a plan: what is drawn for them, and what is counted. Chances are held against the
// distributions they are drawn from, counts against the report of the same day's log.
#include <cmath>
#include <set>

#include <doctest/doctest.h>

#include "lib/report/summary.h"
#include "sim/odds/odds.h"
#include "tests/unit/rehearse/plan_fixture.h"

using namespace noonfall;
using namespace noonfall::sim;
using namespace std::chrono_literals;

namespace {

constexpr Chances without_faults{.seed = 7, .fastest = 1, .slowest = 1, .rates = {0, 0, 0}};

/// The contacts known to `half_width`, all of it from one cause.
timeline::Timeline known_to(Duration half_width) {
  auto timeline = timeline_of(two_minute_drill);
  for (auto& contact : timeline.circumstances.contacts) {
    if (!contact) continue;
    contact->uncertainty = half_width;
    contact->parts = {{"an invented cause", half_width}};
  }
  return timeline;
}

std::vector<Harvest> harvests(const timeline::Timeline& timeline, const Chances& chances,
                              std::uint64_t count) {
  std::vector<Harvest> all;
  for (std::uint64_t n = 0; n < count; ++n) all.push_back(harvest(timeline, {}, chances, n));
  return all;
}

const StepOdds& step(const Odds& odds, std::string_view name) {
  for (const auto& each : odds.steps)
    if (each.step == name) return each;
  throw std::runtime_error{"no such step"};
}

}  // namespace

// Hyndman & Fan 1996 (doi:10.1080/00031305.1996.10473566), definition 1: the inverse of the empirical
// distribution.
TEST_CASE("quantiles are nearest ranks") {
  std::vector<int> hundred;
  for (int n = 100; n >= 1; --n) hundred.push_back(n);
  CHECK(quantiles(hundred) == Quantiles{50, 5, 1});
  CHECK(quantiles({4}) == Quantiles{4, 4, 4});
  CHECK(quantiles({9, 3, 7}) == Quantiles{7, 3, 3});
}

TEST_CASE("a trial is the same for its seed and number, and another for another") {
  const auto timeline = timeline_of(two_minute_drill);
  const auto first = draw(timeline, {}, 3);
  const auto again = draw(timeline, {}, 3);
  CHECK(first.luck == again.luck);
  CHECK(first.late == again.late);
  CHECK(first.faults == again.faults);
  CHECK(first.luck != draw(timeline, {}, 4).luck);
  CHECK(first.luck != draw(timeline, {.seed = 2}, 3).luck);
}

// The uncertainty of a contact is a 95 % half-width; of 2,000 normal draws 95 ± 2 % fall within (four
// standard deviations of the binomial distribution).
TEST_CASE("contacts err within their uncertainty in 95 of 100 trials, the pace within its limits") {
  const auto timeline = timeline_of(two_minute_drill);
  int inside = 0;
  int slower = 0;
  constexpr int trials = 2000;
  for (std::uint64_t n = 0; n < trials; ++n) {
    const auto trial = draw(timeline, {}, n);
    const auto& c2 = *timeline.circumstances.at(contacts::ContactName::c2);
    const auto off = true_contact(timeline, trial, contacts::ContactName::c2) - c2.utc;
    inside += static_cast<int>(std::chrono::abs(off) <= c2.uncertainty);
    CHECK(trial.detune >= 0.8);
    CHECK(trial.detune <= 1.25);
    slower += static_cast<int>(trial.detune > 1);
  }
  CHECK(std::abs(inside - 0.95 * trials) < 40);
  CHECK(std::abs(slower - 0.5 * trials) < 90);
}

// Poisson 1837: none in exp(-mean) of the trials, and as many as the mean on average.
TEST_CASE("faults come as often as their rates say") {
  const auto timeline = timeline_of(two_minute_drill);
  const auto& rig = timeline.rigs.front();
  const double hours = in_seconds(rig.steps.back().last_closing() - rig.steps.front().first_opening()) / 3600;
  const Chances chances{.rates = {.lost_frame = 0, .gone_an_hour = 1 / hours, .slow_card_an_hour = 0}};
  int none = 0;
  int all = 0;
  constexpr int trials = 2000;
  for (std::uint64_t n = 0; n < trials; ++n) {
    const auto faults = draw(timeline, chances, n).faults.front();
    none += static_cast<int>(faults.empty());
    all += static_cast<int>(faults.size());
  }
  CHECK(std::abs(none - std::exp(-1) * trials) < 90);
  CHECK(std::abs(all - trials) < 180);
}

TEST_CASE("a day without any chance brings home what the report of its log says") {
  const auto timeline = known_to(0s);
  const auto harvested = harvest(timeline, {}, without_faults, 0);
  RehearsalSetup setup;
  setup.timeline = timeline;
  setup.seed = draw(timeline, without_faults, 0).luck;
  const auto rehearsed = rehearse(setup);
  const auto summary = report::summarise({rehearsed.lines, rehearsed.log.size(), false, {}}).value();
  REQUIRE(harvested.steps.size() == summary.steps.size());
  for (std::size_t n = 0; n < summary.steps.size(); ++n) {
    CAPTURE(summary.steps[n].planned.step);
    CHECK(harvested.steps[n].frames == summary.steps[n].frames.fired);
    CHECK(harvested.steps[n].whole_sets == summary.steps[n].whole_sets);
  }
  CHECK(harvested.strayed == 0);
  CHECK(harvested.losses.empty());
}

TEST_CASE("where the contacts are known the beads are caught, where they may be anywhere little counts") {
  const auto sure = known_to(0s);
  const auto certain = odds_of(sure, harvests(sure, without_faults, 5));
  // Begun 8 s before C2, the burst has filled the buffer after 7.1 s; at C3 it begins late enough.
  CHECK(step(certain, "beads in").beads_caught == 0.0);
  CHECK(step(certain, "beads out").beads_caught == 1.0);
  CHECK_FALSE(step(certain, "corona").beads_caught.has_value());
  CHECK(certain.strayed == 0);

  // As if the tables were wrong by hours after the filter windows were placed.
  const auto lost = known_to(4h);
  const auto hopeless = odds_of(lost, harvests(lost, without_faults, 40));
  CHECK(*step(hopeless, "beads in").beads_caught < 0.2);
  CHECK(step(hopeless, "corona").frames.median == 0);
  CHECK(step(hopeless, "corona").any_set < 0.2);
  CHECK(step(hopeless, "crescent in").any_set == 1.0);
  CHECK(hopeless.strayed > 0.8);
}

TEST_CASE("a fault that comes often costs frames, and the costliest is told first") {
  const auto timeline = known_to(0s);
  auto chances = without_faults;
  chances.rates = {.lost_frame = 0.001, .gone_an_hour = 20, .slow_card_an_hour = 0};
  const auto odds = odds_of(timeline, harvests(timeline, chances, 20));
  REQUIRE(odds.costs.size() == 2);
  CHECK(odds.costs[0].kind == RatedFault::gone);
  CHECK(odds.costs[0].struck == 1.0);
  CHECK(odds.costs[0].frames > 10);
  CHECK(odds.costs[0].most >= odds.costs[0].frames);
  CHECK(odds.costs[0].frames_a_day() > odds.costs[1].frames_a_day());
  CHECK(odds.frames.worst <= odds.frames.low);
  CHECK(odds.frames.low <= odds.frames.median);
  CHECK(odds.strayed == 0);
}
