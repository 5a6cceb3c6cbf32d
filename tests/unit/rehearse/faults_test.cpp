#include <algorithm>

#include <doctest/doctest.h>

#include "lib/report/summary.h"
#include "tests/unit/rehearse/plan_fixture.h"

using namespace noonfall;
using namespace noonfall::sim;
using namespace std::chrono_literals;

namespace {

std::string script(const std::string& fault) {
  return "noonfall_faults: 1\nfaults:\n  - " + fault + "\n";
}

report::Summary summary_of(const Rehearsed& rehearsed) {
  return report::summarise({rehearsed.lines, rehearsed.log.size(), false, {}}).value();
}

const report::StepSummary& step(const report::Summary& summary, const std::string& name) {
  return *std::find_if(summary.steps.begin(), summary.steps.end(),
                       [&](const auto& candidate) { return candidate.planned.step == name; });
}

Utc c2_of(const RehearsalSetup& setup) {
  return setup.timeline.circumstances.at(contacts::ContactName::c2)->utc;
}

}  // namespace

TEST_CASE("without faults every frame with an instant of its own is shot") {
  const auto summary = summary_of(rehearse(setup_of(two_minute_drill)));
  CHECK(summary.complete);
  CHECK(step(summary, "crescent in").whole_sets == step(summary, "crescent in").planned.sets);
  CHECK(step(summary, "prominences").frames.fired == 2);
  CHECK(summary.total.failed + summary.total.unknown + summary.total.open == 0);
  CHECK(summary.windows.front().outside == 0);
  CHECK(summary.windows.front().inside > 100);
}

TEST_CASE("a mirrored step is told of from its first set on, not from where its span begins") {
  const auto summary = summary_of(rehearse(setup_of(two_minute_drill)));
  // The mirror of C2 - 20 min to C2 - 60 s: counted from C3 + 20 min backwards by the minute, each set and a
  // quarter of a second before.
  const auto c3 = setup_of(two_minute_drill).timeline.circumstances.at(contacts::ContactName::c3)->utc;
  CHECK(step(summary, "crescent out").planned.from > c3 + 60s);
  CHECK(step(summary, "crescent out").planned.from < c3 + 2min);
  CHECK(step(summary, "corona").planned.from == c2_of(setup_of(two_minute_drill)) + 8s);
}

TEST_CASE("sets of different lengths in turn are counted by their own lengths, from the plan to the report") {
  auto text = two_minute_drill.substr(0, two_minute_drill.find("steps:"));
  text +=
      "steps:\n"
      "  - {name: turns, rig: long, subject: corona 0.1 to 4, from: C2 + 8 s, until: C3 - 12 s, every: back "
      "to "
      "back, sets: [{shutter: 1/500}, {from: 1/500, to: 1/8, by: 2 stops}]}\n";
  const auto summary = summary_of(rehearse(setup_of(text)));
  const auto& turns = step(summary, "turns");
  CHECK(turns.frames.fired > 20);
  CHECK(turns.whole_sets * 5 <= turns.frames.fired * 2);  // one frame and four
  CHECK(turns.whole_sets * 5 >= turns.frames.fired * 2 - 10);
}

TEST_CASE("what a body off the line cost a back-to-back step is missed, and said with the reason") {
  const auto summary = summary_of(
      rehearse(setup_of(two_minute_drill, script("{rig: long, fault: gone, from: C2 + 60 s, for: 20 s}"))));
  const auto& corona = step(summary, "corona");
  CHECK(corona.never_asked > 10);
  CHECK(corona.frames.asked() + corona.never_asked == corona.planned.frames);
  int told = 0;
  for (const auto& [why, times] : corona.reasons) told += times;
  CHECK(told >= corona.never_asked);
  CHECK(step(summary, "beads in").never_asked == 0);
}

TEST_CASE(
    "what is planned at the limits of patience and of the filter window is shot, whatever the body's pace") {
  auto text = two_minute_drill.substr(0, two_minute_drill.find("steps:"));
  text +=
      "steps:\n"
      "  - {name: tight, rig: long, subject: prominences, at: MID, patience: 52 ms}\n"
      "  - {name: last, rig: long, subject: corona 4, at: C3 + 19.948 s, exposure: {shutter: 2 s}}\n";
  auto setup = setup_of(text);
  for (const double detune : {0.7, 1.0, 1.3}) {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
      setup.detune = detune;
      setup.seed = seed;
      CAPTURE(detune);
      CAPTURE(seed);
      CHECK(summary_of(rehearse(setup)).total.fired == 2);
    }
  }
}

TEST_CASE("a body that goes away costs only the frames of that time") {
  const auto setup =
      setup_of(two_minute_drill, script("{rig: long, fault: gone, from: C2 + 60 s, for: 20 s}"));
  const auto rehearsed = rehearse(setup);
  const auto summary = summary_of(rehearsed);
  CHECK(step(summary, "crescent in").frames.fired == step(summary, "crescent in").planned.frames);
  CHECK(step(summary, "crescent out").frames.fired == step(summary, "crescent out").planned.frames);
  CHECK(summary.happenings.size() == 2);  // away, and back
  const auto back = std::find_if(rehearsed.taken[0].begin(), rehearsed.taken[0].end(),
                                 [&](const auto& frame) { return frame.opened > c2_of(setup) + 80s; });
  REQUIRE(back != rehearsed.taken[0].end());
  // Asked once a second, and reopening takes the body a second and a half.
  CHECK(back->opened < c2_of(setup) + 85s);
}

TEST_CASE("busy answers are asked again while there is time") {
  const auto summary = summary_of(
      rehearse(setup_of(two_minute_drill, script("{rig: long, fault: busy, from: C2 + 3 s, for: 1500 ms}"))));
  CHECK(step(summary, "prominences").frames.fired == 2);
}

TEST_CASE("a refused setting is shot anyway and said to be wrong") {
  const auto setup =
      setup_of(two_minute_drill,
               script("{rig: long, fault: refused setting, setting: iso, from: C2 - 20 s, for: 15 s}"));
  const auto summary = summary_of(rehearse(setup));
  const auto& beads = step(summary, "beads in");
  CHECK(beads.frames.fired > 50);
  CHECK(beads.reasons.at("wrong exposure") == beads.frames.fired);
}

TEST_CASE("no shutter is open past the filter window with an exposure that the body kept") {
  // Left at 30 s by the frame before, the body then refuses every other shutter.
  auto text = two_minute_drill.substr(0, two_minute_drill.find("steps:"));
  text +=
      "steps:\n"
      "  - {name: long one, rig: long, subject: corona 4, at: C3 - 60 s, exposure: {shutter: 30 s}}\n"
      "  - {name: last, rig: long, subject: prominences, from: C3 - 5 s, until: C3 + 12 s, every: back to "
      "back, exposure: {shutter: 1/500}}\n";
  const auto setup = setup_of(
      text, script("{rig: long, fault: refused setting, setting: shutter, from: C3 - 40 s, for: 10 min}"));
  const auto rehearsed = rehearse(setup);
  REQUIRE(rehearsed.taken[0].size() == 1);
  CHECK(rehearsed.taken[0][0].closed <= setup.timeline.rigs[0].window->usable_until);
  const auto summary = summary_of(rehearsed);
  CHECK(step(summary, "last").frames.fired == 0);
  CHECK(step(summary, "last").frames.failed > 0);
  CHECK(step(summary, "last")
            .reasons.contains("the shutter would close too late with what the body is set to"));
}

TEST_CASE("a body at work on what the core has given up costs frames, and the run goes on") {
  // Left at 20 s and refusing 1/500, the body is at a frame for longer than the core waits for its word.
  auto text = two_minute_drill.substr(0, two_minute_drill.find("steps:"));
  text +=
      "steps:\n"
      "  - {name: slow, rig: long, subject: corona 4, at: C2 + 15 s, exposure: {shutter: 20 s}}\n"
      "  - {name: quick, rig: long, subject: prominences, from: C2 + 40 s, until: C3, every: 1 s, exposure: "
      "{shutter: 1/500}}\n";
  const auto rehearsed = rehearse(setup_of(
      text, script("{rig: long, fault: refused setting, setting: shutter, from: C2 + 38 s, for: 60 s}")));
  CHECK(count(rehearsed).unknown > 0);  // given up while the shutter was open
  const auto summary = summary_of(rehearsed);
  CHECK(summary.complete);
  CHECK(summary.total.open == 0);
  CHECK(step(summary, "quick").frames.unknown == 0);  // every one resolved by its late word
  CHECK(step(summary, "quick").frames.fired > 60);
}

TEST_CASE("a lost frame is unknown, never fired again, and the next one is shot") {
  const auto rehearsed = rehearse(
      setup_of(two_minute_drill, script("{rig: long, fault: lost frame, from: C2 + 3 s, count: 1}")));
  const auto summary = summary_of(rehearsed);
  CHECK(step(summary, "prominences").frames.unknown == 1);
  CHECK(step(summary, "prominences").frames.fired == 1);
  CHECK(std::count_if(rehearsed.taken[0].begin(), rehearsed.taken[0].end(),
                      [](const auto& frame) { return frame.id.step == 2; }) == 2);
}

TEST_CASE("a slow card slows the sets and loses no word") {
  const auto rehearsed = rehearse(setup_of(
      two_minute_drill, script("{rig: long, fault: slow card, rate: 10 %, from: C2 - 30 s, for: 5 min}")));
  const auto n = count(rehearsed);
  CHECK(n.intents == n.fired + n.failed + n.unknown + n.cancelled + n.skipped_of_intended);
  CHECK(summary_of(rehearsed).complete);
}

TEST_CASE("a start in the middle shoots what is still to come and says what is gone") {
  auto setup = setup_of(two_minute_drill);
  setup.start = c2_of(setup) + 30s;
  const auto summary = summary_of(rehearse(setup));
  CHECK(step(summary, "crescent in").frames.fired == 0);
  CHECK(step(summary, "crescent in").frames.skipped == step(summary, "crescent in").planned.frames);
  CHECK(step(summary, "crescent in").reasons.at("its time had passed") ==
        step(summary, "crescent in").planned.frames);
  CHECK(step(summary, "beads in").left_out);
  CHECK(step(summary, "corona").whole_sets > 20);
  CHECK(step(summary, "crescent out").whole_sets == step(summary, "crescent out").planned.sets);
}

TEST_CASE("a rig on hold takes nothing, and goes on when resumed") {
  auto setup = setup_of(two_minute_drill);
  const auto c2 = c2_of(setup);
  setup.commands = {{c2 + 60s, shotlog::Hold{"long"}}, {c2 + 90s, shotlog::Resume{"long"}}};
  const auto rehearsed = rehearse(setup);
  const auto within = [&](Utc from, Utc until) {
    return std::count_if(rehearsed.taken[0].begin(), rehearsed.taken[0].end(),
                         [&](const auto& frame) { return frame.opened > from && frame.opened < until; });
  };
  CHECK(within(c2 + 63s, c2 + 90s) == 0);
  CHECK(within(c2 + 91s, c2 + 100s) > 5);
  CHECK(count(rehearsed).cancelled > 0);
}

TEST_CASE("a skipped step is left out, the others are shot") {
  auto setup = setup_of(two_minute_drill);
  setup.commands = {{c2_of(setup) - 5min, shotlog::SkipStep{"corona"}}};
  const auto summary = summary_of(rehearse(setup));
  CHECK(step(summary, "corona").frames.fired == 0);
  CHECK(step(summary, "corona").left_out);
  CHECK(step(summary, "beads out").frames.fired > 100);
}

TEST_CASE("in a rehearsal no voice says that a filter comes off") {
  const auto rehearsed = rehearse(setup_of(two_minute_drill));
  int filter_words = 0;
  for (const auto& words : rehearsed.words) {
    CHECK(words.text.find("off") == std::string::npos);
    filter_words += words.text == "Rehearsal, keep the camera filter on, long.";
  }
  CHECK(filter_words == 2);
}

TEST_CASE("on the day the voice says camera filter off, but not by a clock nobody vouches for") {
  const auto timeline = timeline_of(two_minute_drill);
  const auto said = [&](shotlog::ClockGrade grade) {
    run::Facts facts;
    facts.mode = shotlog::Mode::event;
    run::Run run{timeline, facts, {grade, Duration{0}}};
    auto out = run.step(timeline.rigs[0].window->opens - 10s, {});
    std::vector<std::string> words;
    while (out.wake && *out.wake < timeline.rigs[0].window->opens) {
      out = run.step(*out.wake, {});
      for (const auto& each : out.announcements) words.push_back(each.text);
    }
    return words;
  };
  CHECK(said(shotlog::ClockGrade::a) == std::vector<std::string>{"Camera filter off, long."});
  CHECK(said(shotlog::ClockGrade::f) == std::vector<std::string>{"Clock not verified, operator decides."});
}
