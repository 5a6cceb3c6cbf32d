// The promises of the core and the rig, for any luck, detuning, start and fault. RapidCheck prints the seed
// of a failure; RC_PARAMS="seed=…" sets it.
#include <map>
#include <set>

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "lib/shotlog/replay.h"
#include "tests/unit/rehearse/plan_fixture.h"

using namespace noonfall;
using namespace noonfall::sim;
using namespace std::chrono_literals;

namespace {

const timeline::Timeline& drill() {
  static const auto timeline = timeline_of(two_minute_drill);
  return timeline;
}

Fault any_fault() {
  const auto c2 = drill().circumstances.at(contacts::ContactName::c2)->utc;
  const auto from = c2 - 10min + std::chrono::seconds{*rc::gen::inRange(0, 1200)};
  const auto until = from + std::chrono::milliseconds{*rc::gen::inRange(10, 60'000)};
  Fault fault;
  fault.from = from;
  fault.until = until;
  switch (*rc::gen::inRange(0, 5)) {
    case 0:
      fault.effect = BusyReleases{};
      break;
    case 1:
      fault.effect = RefusedSetting{Setting::iso};
      break;
    case 2:
      fault.effect = LostFrame{LostFrame::Sign::unconfirmed};
      break;
    case 3:
      fault.effect = BodyGone{};
      break;
    default:
      fault.effect = SlowCard{0.1};
      break;
  }
  return fault;
}

/// Any luck, a body 0.7 to 1.3 times as slow as its profile, a start at any time, up to four faults.
RehearsalSetup any_setup() {
  RehearsalSetup setup;
  setup.timeline = drill();
  setup.seed = *rc::gen::arbitrary<std::uint64_t>();
  setup.detune = 0.7 + 0.1 * *rc::gen::inRange(0, 7);
  const auto c2 = drill().circumstances.at(contacts::ContactName::c2)->utc;
  if (*rc::gen::inRange(0, 3) == 0)
    setup.start = c2 - 25min + std::chrono::milliseconds{*rc::gen::inRange(0, 3'000'000)};
  setup.faults.emplace_back();
  const auto faults = *rc::gen::inRange(0, 5);
  for (int n = 0; n < faults; ++n) setup.faults.back().push_back(any_fault());
  return setup;
}

std::map<shotlog::FrameName, shotlog::Intent> intents(const Rehearsed& rehearsed) {
  std::map<shotlog::FrameName, shotlog::Intent> out;
  for (const auto& line : rehearsed.lines) {
    if (const auto* intent = std::get_if<shotlog::Intent>(&line.entry)) out[intent->frame] = *intent;
  }
  return out;
}

shotlog::FrameName name_of(const order::FrameId& id) {
  const auto& rig = drill().rigs[static_cast<std::size_t>(id.rig)];
  return {rig.name, rig.steps[static_cast<std::size_t>(id.step)].name, id.set, id.frame};
}

}  // namespace

TEST_CASE("no frame fires twice, unasked, before its earliest or after its latest instant") {
  CHECK(rc::check([] {
    const auto setup = any_setup();
    const auto rehearsed = rehearse(setup);
    const auto asked = intents(rehearsed);
    std::set<order::FrameId> seen;
    for (const auto& frame : rehearsed.taken.front()) {
      RC_ASSERT(seen.insert(frame.id).second);
      const auto intent = asked.find(name_of(frame.id));
      RC_ASSERT(intent != asked.end());
      RC_ASSERT(frame.opened <= intent->second.latest);
      const auto& step = drill().rigs.front().steps[static_cast<std::size_t>(frame.id.step)];
      const auto earliest = step.back_to_back ? step.from : intent->second.due;
      // Within a set the frames follow each other as fast as the body can: their due instants are
      // predictions.
      if (frame.id.frame == 1) RC_ASSERT(frame.opened >= earliest);
      RC_ASSERT(frame.opened >= step.from);
      RC_ASSERT(frame.closed <= step.until);
    }
  }));
}

TEST_CASE("every intended frame gets exactly one last word, and the words agree with the body's own count") {
  CHECK(rc::check([] {
    const auto rehearsed = rehearse(any_setup());
    const auto n = count(rehearsed);
    RC_ASSERT(n.intents == n.fired + n.failed + n.unknown + n.cancelled + n.skipped_of_intended);
    const auto taken = static_cast<int>(rehearsed.taken.front().size());
    RC_ASSERT(n.fired <= taken);
    RC_ASSERT(taken <= n.fired + n.unknown);
  }));
}

TEST_CASE("no unfiltered frame leaves the filter window, whatever the body does") {
  CHECK(rc::check([] {
    const auto rehearsed = rehearse(any_setup());
    const auto& rig = drill().rigs.front();
    for (const auto& frame : rehearsed.taken.front()) {
      if (rig.steps[static_cast<std::size_t>(frame.id.step)].filtered) {
        RC_ASSERT(frame.closed <= rig.window->opens || frame.opened >= rig.window->closes);
      } else {
        RC_ASSERT(frame.opened >= rig.window->usable_from);
        RC_ASSERT(frame.closed <= rig.window->usable_until);
      }
    }
  }));
}

TEST_CASE("extra wakes change nothing") {
  CHECK(rc::check([] {
    auto setup = any_setup();
    const auto plain = rehearse(setup);
    const auto c2 = drill().circumstances.at(contacts::ContactName::c2)->utc;
    const auto wakes = *rc::gen::inRange(1, 200);
    for (int n = 0; n < wakes; ++n) {
      setup.extra_wakes.push_back(c2 - 22min +
                                  std::chrono::microseconds{*rc::gen::inRange(0, 2'000'000'000)});
    }
    RC_ASSERT(rehearse(setup).log == plain.log);
  }));
}

TEST_CASE("the same setup gives the same bytes, another seed other bytes") {
  auto setup = setup_of(two_minute_drill);
  const auto first = rehearse(setup);
  CHECK(rehearse(setup).log == first.log);
  setup.seed = 2;
  CHECK(rehearse(setup).log != first.log);
}

TEST_CASE("the log of a rehearsal cut at every byte replays to a prefix") {
  const auto rehearsed = rehearse(setup_of(R"(noonfall: 1
title: Short
eclipse: 2027-08-02
site: {latitude: 36.0139, longitude: -5.6033, elevation: 12 m}
rigs:
  long: {body: {simulate: mirrorless-20}, lens: {focal_length: 600 mm}, mount: tracking,
         exposure: {aperture: f/8, iso: 400}, filter: {density: 5.0}}
steps:
  - {name: prominences, rig: long, subject: prominences, at: MID, bracket: {frames: 3, by: 1 stop}}
)"));
  REQUIRE(rehearsed.lines.size() > 10);
  for (std::size_t cut = 0; cut <= rehearsed.log.size(); ++cut) {
    const auto replayed = shotlog::replay(std::string_view{rehearsed.log}.substr(0, cut));
    REQUIRE(replayed.damage.empty());
    const auto kept = static_cast<std::ptrdiff_t>(replayed.lines.size());
    REQUIRE(replayed.lines ==
            std::vector<shotlog::Line>(rehearsed.lines.begin(), rehearsed.lines.begin() + kept));
  }
}
