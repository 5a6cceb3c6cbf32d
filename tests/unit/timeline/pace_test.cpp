// When sets are taken, pace by pace.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "lib/time/utc_text.h"
#include "tests/unit/timeline/scene.h"

namespace noonfall::timeline {
namespace {

using namespace std::chrono_literals;
using tests::at;

/// The steps of `long` made of this one.
std::vector<RigStep> steps_of(const std::string& keys) {
  return tests::timeline_of("steps:\n  - {name: a, rig: long, " + keys + "}\n").rigs[0].steps;
}

RigStep step_of(const std::string& keys) {
  const auto steps = steps_of(keys);
  REQUIRE(steps.size() == 1);
  return steps[0];
}

/// "09:02:00 09:02:10", to the microsecond where there is a fraction.
std::string dues(const RigStep& step) {
  std::string found;
  for (const auto& target : step.targets) {
    const bool whole = target.due == std::chrono::floor<std::chrono::seconds>(target.due);
    found += (found.empty() ? "" : " ") + to_clock_text(target.due, whole ? 0 : 6);
  }
  return found;
}

}  // namespace

TEST_CASE("`every` starts at `from` and plans no set that would end less than 250 ms before `until`") {
  const auto step =
      step_of("subject: corona 4, from: MID, until: MID + 21.25 s, every: 10 s, exposure: {shutter: 1 s}");
  CHECK(dues(step) == "09:02:00 09:02:10 09:02:20");
  CHECK(step.until == at("09:02:21.25"));
  const auto shorter = step_of(
      "subject: corona 4, from: MID, until: MID + 21.249999 s, every: 10 s, exposure: {shutter: 1 s}");
  CHECK(dues(shorter) == "09:02:00 09:02:10");
}

TEST_CASE("a mirrored `every` counts from the end, so that its sets are the original's turned around") {
  const auto timeline = tests::timeline_of(
      "steps:\n  - {name: a, rig: long, subject: photosphere, from: C1 + 10 s, until: C1 + 65 s, every: 20 "
      "s, exposure: "
      "{shutter: 1/250}}\n  - {name: b, mirror: a}\n");
  const auto& out = timeline.rigs[0].steps[1];
  CHECK(dues(timeline.rigs[0].steps[0]) == "08:00:10 08:00:30 08:00:50");
  CHECK(dues(out) == "10:09:09.746094 10:09:29.746094 10:09:49.746094");  // 1/250 stands for 1/256 s
}

TEST_CASE("`spread` opens its first set at `from` and its last at `until`") {
  const auto step = step_of("subject: prominences, from: MID - 30 s, until: MID + 30 s, spread: 4");
  CHECK(dues(step) == "09:01:30 09:01:50 09:02:10 09:02:30");
}

TEST_CASE("`spread: 1` is in the middle") {
  CHECK(dues(step_of("subject: prominences, from: MID - 10 s, until: MID + 30 s, spread: 1")) == "09:02:10");
}

TEST_CASE("`at` with several instants makes a step of each, in order of time") {
  const auto steps = steps_of("subject: prominences, at: [MID + 10 s, C2 + 10 % of totality, MID]");
  REQUIRE(steps.size() == 3);
  CHECK(steps[0].first_opening() == at("09:00:24"));
  CHECK(steps[1].first_opening() == at("09:02:00"));
  CHECK(steps[2].first_opening() == at("09:02:10"));
  CHECK(steps[0].name == "a (1 of 3)");
}

TEST_CASE("sets are taken in turn") {
  const auto step = step_of(
      "subject: corona 1, from: MID, until: MID + 35 s, every: 10 s, sets: [{shutter: 1/30}, {shutter: "
      "1/4}]");
  REQUIRE(step.shapes.size() == 2);
  CHECK(step.targets[0].shape == 0);
  CHECK(step.targets[1].shape == 1);
  CHECK(step.targets[2].shape == 0);
}

TEST_CASE("a step that ends before it begins is marked where it ends, whatever its pace") {
  for (const std::string pace : {"every: 5 s", "every: back to back", "spread: 3"}) {
    CAPTURE(pace);
    const auto steps = "steps:\n  - name: a\n    rig: long\n    subject: corona 1\n    " + pace +
                       "\n    from: MID + 30 s\n    until: MID + 10 s\n";
    auto made = tests::built(steps);
    REQUIRE(tests::error_codes(made) == "empty-span");
    attach_source(made.findings, "plan", tests::plan_text(steps));
    CHECK(to_text(made.findings).find(" |     until: MID + 10 s\n") != std::string::npos);
  }
}

TEST_CASE("a series that can't begin is refused, and so is its mirror image, which can't end") {
  const auto made = tests::built(
      "steps:\n  - {name: a, rig: long, subject: corona 4, from: MID + 1 s, until: MID + 4 s, every: 30 s, "
      "sets: [{shutter: "
      "4 s}, {shutter: 1/30}]}\n  - {name: b, mirror: a}\n");
  CHECK(tests::error_codes(made) == "set-does-not-fit set-does-not-fit");
}

TEST_CASE("patience is 2 s unless the plan says otherwise, and extends what a single set may take") {
  const auto usual = step_of("subject: corona 4, at: MID, exposure: {shutter: 1 s}");
  CHECK(usual.patience == 2s);
  CHECK(usual.until == at("09:02:03"));
  const auto hasty = step_of("subject: corona 4, at: MID, exposure: {shutter: 1 s}, patience: 250 ms");
  CHECK(hasty.patience == 250ms);
  CHECK(hasty.until == at("09:02:01.25"));
}

TEST_CASE(
    "settings are sent early enough: half as long again as they take and half a second, at least a second") {
  // mirrorless-20: shutter 40 ms, aperture 80 ms, ISO 30 ms, drive 60 ms
  CHECK(step_of("subject: prominences, at: MID").lead == 1s);
  // mirror-24: 120 + 150 + 90 + 150 ms = 510 ms
  const auto timeline = tests::timeline_of(
      "steps:\n  - {name: a, rig: wide, subject: landscape, at: MID, exposure: {shutter: 1/4}}\n");
  CHECK(timeline.rigs[1].steps[0].lead == 1265ms);
}

TEST_CASE("back to back, complete sets are counted as the body's profile has them fit") {
  // mirrorless-20 takes a frame of 1 s every 1.2 s: openings at 0, 1.2, 2.4, 3.6 s; a fourth closes at 4.6 s
  const auto fits = [](const char* until) {
    return step_of(
               fmt::format("subject: corona 4, from: MID, until: MID + {}, every: back to back, exposure: "
                           "{{shutter: 1 s}}",
                           until))
        .predicted_sets;
  };
  CHECK(fits("4.599999 s") == 3);
  CHECK(fits("4.6 s") == 4);
}

TEST_CASE("frames by hand aren't counted among those noonfall takes") {
  const auto timeline = tests::timeline_of(R"(rigs:
  hand: {body: by hand, lens: {focal_length: 200 mm}, exposure: {aperture: f/8, iso: 200}, filter: {density: 5.0}}
  long: {body: {simulate: mirrorless-20}, lens: {focal_length: 600 mm}, mount: tracking, exposure: {aperture: f/8, iso: 200}, filter: {density: 5.0}}
steps:
  - {name: a, rigs: all, subject: prominences, at: MID, bracket: {frames: 3, by: 1 stop}}
)");
  CHECK(timeline.predicted_frames() == 3);
}

TEST_CASE("hands that come again and again collide with frames that are due, and with no others") {
  const std::string sets =
      "steps:\n  - {name: a, rig: long, subject: photosphere, from: C1 + 10 s, until: C1 + 40 min, every: 5 "
      "min}\n";
  const auto between = tests::built(
      sets + "  - {name: b, hands: long, from: C1 + 80 s, until: C1 + 40 min, every: 5 min, lasts: 2 min}\n");
  CHECK(tests::error_codes(between) == "none");
  REQUIRE(between.timeline);
  CHECK(between.timeline->hands_on.size() == 8);
  CHECK(between.timeline->hands_on[1].from == at("08:06:20"));
  CHECK(between.timeline->hands_on[1].until == at("08:08:20"));
  const auto over = tests::built(
      sets +
      "  - {name: b, hands: long, from: C1 + 4 min, until: C1 + 40 min, every: 5 min, lasts: 2 min}\n");
  CHECK(tests::error_codes(over).find("hands-overlap") != std::string::npos);
}

TEST_CASE("mirrored hands come again and again counted from the end") {
  const auto timeline = tests::timeline_of(
      "steps:\n  - {name: a, hands: long, from: C1 + 80 s, until: C1 + 12 min, every: 5 min, lasts: 2 min}\n"
      "  - {name: b, mirror: a}\n  - {name: c, rig: long, subject: prominences, at: MID}\n");
  REQUIRE(timeline.hands_on.size() == 4);
  CHECK(timeline.hands_on.back().until == at("10:08:40"));
}

}  // namespace noonfall::timeline
