// Taking filters off and putting them back is learned here from what was said and done; the times are ours.
#include "lib/run/camera_filter.h"

#include <doctest/doctest.h>

#include "tests/unit/run/fixture.h"

using namespace noonfall;
using namespace noonfall::run;
using shotlog::FilterState;
using shotlog::Mode;

namespace {

// Fourteen letters a second and 200 ms: what ends at 100 s and at 200 s begins at
constexpr Duration off_begins = 98'085'714us;
constexpr Duration back_on_begins = 197'800ms;
constexpr Duration first_on_lasts = 1'842'857us;

const std::string off_cue = "cue \"Camera filter off, long.\"";
const std::string back_on_cue = "cue \"Camera filter back on, long.\"";
const std::string late_cue = "late cue \"Camera filter back on, long.\"";
const std::string now_off = "filter of long off: its cue was printed";
const std::string now_on = "filter of long on: its cue was printed";
const std::string done_note = " | the plan is done";

Input filter_is(FilterState state) {
  return Request{SetFilter{"long", state}};
}

/// The filter was on at first, by its words.
Bench begun(const timeline::Timeline& timeline = timeline_with_window()) {
  Bench bench{timeline};
  bench.step(0s);
  bench.step(first_on_lasts);
  return bench;
}

Bench with_filter_off(const timeline::Timeline& timeline = timeline_with_window()) {
  auto bench = begun(timeline);
  bench.step(off_begins);
  bench.step(100s);
  return bench;
}

timeline::RigStep unfiltered(timeline::RigStep step) {
  step.filtered = false;
  return step;
}

timeline::Timeline with_steps(std::vector<timeline::RigStep> steps) {
  auto timeline = timeline_with_window();
  timeline.rigs.front().steps = std::move(steps);
  return timeline;
}

timeline::Timeline with_window_moved(timeline::Timeline timeline, Duration by) {
  auto& window = *timeline.rigs.front().window;
  for (auto* edge : {&window.opens, &window.usable_from, &window.usable_until, &window.closes}) *edge += by;
  for (auto& cue : timeline.cues) cue.ends += by;
  return timeline;
}

timeline::Timeline without_window() {
  auto timeline = timeline_with_window();
  timeline.rigs.front().window.reset();
  timeline.cues.clear();
  return timeline;
}

/// No "back on" was begun before, and at this instant it is.
void check_called_back(Bench bench, Duration now, const std::vector<Input>& inputs = {}) {
  CHECK(bench.lines(now, inputs).find(late_cue) != std::string::npos);
  CHECK(bench.lines(now + 2'200ms).find(now_on) != std::string::npos);
}

}  // namespace

TEST_CASE("at first nobody knows where the filter is: it is called on, and assumed on when that was said") {
  Bench bench{timeline_with_window()};
  CHECK(bench.step(0s) ==
        "filter of long unknown: the run begins, and nobody has said where the filter is | "
        "cue \"Camera filter on, long.\" | say \"Camera filter on, long.\" by 1842.857 | wake 1842.857");
  CHECK(bench.lines(first_on_lasts - 1us).empty());
  CHECK(bench.step(first_on_lasts) == now_on + " | wake 98085.714");
}

TEST_CASE("in the ordinary course the filter is off and on from the end of the words") {
  auto bench = begun();
  CHECK(bench.lines(off_begins - 1us).empty());
  CHECK(bench.step(off_begins) == off_cue + " | say \"Camera filter off, long.\" by 100000 | wake 100000");
  CHECK(bench.lines(100s - 1us).empty());
  CHECK(bench.step(100s) == now_off + " | wake 197800");
  CHECK(bench.lines(back_on_begins) == back_on_cue);
  CHECK(bench.step(200s) == now_on + done_note + " | wake 205800 | finished");
}

TEST_CASE("a stall over the cue to put the filter back delays the words and drops nothing") {
  for (const auto stall : {501ms, 900ms, 60'000ms}) {
    auto bench = with_filter_off();
    CHECK(bench.lines(back_on_begins + stall) == late_cue);
    CHECK(bench.lines(back_on_begins + stall + 2'199ms).empty());
    CHECK(bench.lines(back_on_begins + stall + 2'200ms) == now_on + done_note);
  }
}

TEST_CASE("half a second is still the ordinary cue, and its words still take their time") {
  auto bench = with_filter_off();
  CHECK(bench.lines(back_on_begins + 500ms) == back_on_cue);
  CHECK(bench.lines(200s).empty());
  CHECK(bench.lines(200'500ms) == now_on + done_note);
}

TEST_CASE("words to put the filter back that a core's end cut short are said again by the next") {
  const auto plan = timeline_with_window();
  auto bench = with_filter_off();
  bench.step(back_on_begins);
  auto later = bench.next(plan);
  CHECK(later.lines(back_on_begins + 1'100ms) == late_cue);
  auto again = later.next(plan);
  CHECK(again.lines(199'500ms) == late_cue);
  CHECK(again.lines(201'700ms) == now_on + done_note);
}

TEST_CASE("a core that begins after the window finds the filter off and calls it back") {
  auto later = with_filter_off().next(timeline_with_window());
  CHECK(later.lines(5'000s) == late_cue);
}

TEST_CASE("after words to take the filter off that were cut short nobody knows where it is") {
  const auto plan = timeline_with_window();
  auto bench = begun();
  bench.step(off_begins);
  auto soon = bench.next(plan);
  CHECK(soon.lines(99s) ==
        "filter of long unknown: the core ended before the words to take it off were over | " + late_cue);
  auto inside = bench.next(plan);
  CHECK(inside.lines(101s) ==
        "filter of long unknown: the core ended before the words to take it off were over");
  CHECK(inside.lines(back_on_begins) == back_on_cue);
}

TEST_CASE("a filter that was on stays so over a restart, and no words are said twice") {
  const auto plan = timeline_with_window();
  auto bench = begun();
  CHECK(bench.next(plan).lines(50s).empty());
  auto off = with_filter_off();
  auto later = off.next(plan);
  CHECK(later.lines(150s).empty());
  CHECK(later.lines(back_on_begins) == back_on_cue);
}

TEST_CASE("after a stall the filter isn't called off, and isn't taken to be") {
  auto bench = begun();
  CHECK(bench.lines(off_begins + 501ms) == off_cue + ": not spoken: its time had passed");
  CHECK(bench.lines(150s).empty());
  CHECK(bench.lines(back_on_begins) == back_on_cue);
  CHECK(bench.lines(200s) == now_on + done_note);
}

TEST_CASE("with a clock nobody vouches for the operator decides, whatever the clock does meanwhile") {
  auto bench = begun();
  bench.step(50s, {ClockChange{{shotlog::ClockGrade::f, {}}, "no time source"}});
  CHECK(bench.lines(97'500ms) == "cue \"Clock not verified, operator decides.\"");
  bench.step(98s, {ClockChange{{shotlog::ClockGrade::c, 500ms}, "the operator vouches for it"}});
  CHECK(bench.lines(100'342'857us) == "filter of long unknown: clock not verified, the operator decides");
  CHECK(bench.lines(back_on_begins) == back_on_cue);
  auto unverified = with_filter_off();
  unverified.step(150s, {ClockChange{{shotlog::ClockGrade::f, {}}, "no time source"}});
  CHECK(unverified.lines(back_on_begins) == back_on_cue);
  CHECK(with_filter_off().lines(300s, {ClockChange{{shotlog::ClockGrade::f, {}}, "none"}}) ==
        "clock: none | " + late_cue);
}

TEST_CASE("a filter that is off already is not called off") {
  auto bench = begun();
  bench.step(off_begins - 1s, {});
  CHECK(bench.lines(off_begins, {filter_is(FilterState::off)}) ==
        "command \"filter long off\" | filter of long off confirmed | " + late_cue);
  auto amended = with_filter_off().next(with_window_moved(timeline_with_window(), 4s));
  CHECK(amended.lines(off_begins + 4s) == "amendment: the contacts or settings are other ones | " + late_cue);
}

TEST_CASE("an amendment that takes the window away calls the filter back at once") {
  auto deleted = timeline_with_window();
  deleted.rigs.front().name = "other";
  deleted.rigs.front().has_filter = false;
  deleted.rigs.front().window.reset();
  deleted.cues.clear();
  auto filter_none = without_window();
  filter_none.rigs.front().has_filter = false;
  auto nothing = without_window();
  nothing.rigs.clear();
  for (const auto& plan :
       {without_window(), with_window_moved(timeline_with_window(), 100s), deleted, filter_none, nothing})
    check_called_back(with_filter_off().next(plan), 120s);
}

TEST_CASE("an amendment that leaves the filter its window says nothing before its end") {
  auto later = with_filter_off().next(with_window_moved(timeline_with_window(), 10s));
  CHECK(later.lines(120s) ==
        "amendment: the contacts or settings are other ones | cue \"Camera filter off, long.\": not spoken: "
        "its time had passed");
  CHECK(later.lines(back_on_begins + 10s) == back_on_cue);
}

TEST_CASE("a clock that jumps past the window calls the filter back") {
  check_called_back(with_filter_off(), 5'000s);
}

TEST_CASE("skipping the last step that needs the filter off takes its window away") {
  const auto plan = with_steps(
      {unfiltered(back_to_back("corona", 110s, 150s)), unfiltered(back_to_back("diamond", 180s, 195s))});
  auto before = begun(plan);
  before.step(50s, {Request{SkipStep{"corona"}}});
  CHECK(before.lines(off_begins) == off_cue);
  auto both = begun(plan);
  both.step(50s, {Request{SkipStep{"corona"}}, Request{SkipStep{"diamond"}}});
  CHECK(both.lines(off_begins) == off_cue + ": not spoken: no step needs the filter off");
  check_called_back(with_filter_off(plan), 101s, {Request{SkipStep{"corona"}}, Request{SkipStep{"diamond"}}});
  auto last = with_filter_off(plan);
  CHECK(last.lines(160s, {Request{SkipStep{"diamond"}}}).find(late_cue) != std::string::npos);
}

TEST_CASE("a rig by hand loses its window by a skip as any other") {
  auto plan = with_steps({unfiltered(back_to_back("corona", 110s, 150s))});
  plan.rigs.front().by_hand = true;
  check_called_back(with_filter_off(plan), 120s, {Request{SkipStep{"corona"}}});
}

TEST_CASE("a held rig's filter is called back all the same") {
  auto bench = with_filter_off();
  bench.step(150s, {Request{Hold{"long"}}});
  CHECK(bench.lines(back_on_begins) == back_on_cue);
}

TEST_CASE("stop calls the filter back and ends when that was said in full") {
  auto bench = with_filter_off();
  CHECK(bench.lines(150s, {Request{Stop{}}}) == "command \"stop\" | " + late_cue);
  CHECK(bench.lines(152'199ms).empty());
  CHECK(bench.step(152'200ms) == now_on + " | stopped by the operator | finished");
  auto saying = begun();
  saying.step(off_begins);
  CHECK(saying.lines(99s, {Request{Stop{}}}) == "command \"stop\"");
  CHECK(saying.lines(100s) == now_off + " | " + late_cue);
}

TEST_CASE("a core about to be ended calls the filter back, and is let go when that was said") {
  auto bench = with_filter_off();
  CHECK(bench.lines(150s, {Leaving{}}) == late_cue);
  // A core that comes before that is in the window again, and has time until its end.
  auto next = bench.next(timeline_with_window());
  CHECK(next.lines(151s).empty());
  CHECK(next.lines(back_on_begins) == back_on_cue);
  CHECK(bench.lines(152'200ms).starts_with(now_on));
  CHECK(bench.next(timeline_with_window()).lines(153s).empty());
}

TEST_CASE("a person's word stands, and words that it contradicts are said again at once") {
  auto confirmed = with_filter_off();
  confirmed.step(199s);
  CHECK(confirmed.lines(199'100ms, {filter_is(FilterState::on)}) ==
        "command \"filter long on\" | filter of long on confirmed");
  CHECK(confirmed.lines(202s) == "the plan is done");
  const std::string said_again = "command \"filter long off\" | filter of long off confirmed | " + late_cue;
  auto contradicted = with_filter_off();
  contradicted.step(back_on_begins);
  CHECK(contradicted.lines(199s, {filter_is(FilterState::off)}) == said_again);
  // A clock that was put back stands still: no words would ever end by it.
  CHECK(contradicted.lines(199s, {filter_is(FilterState::off)}) == said_again);
  CHECK(contradicted.lines(201'200ms) == now_on + done_note);
  auto corrected = with_filter_off();
  corrected.step(back_on_begins);
  corrected.step(199s, {filter_is(FilterState::off)});
  corrected.step(199'100ms, {filter_is(FilterState::on)});
  CHECK(corrected.lines(201'200ms) == "the plan is done");
}

TEST_CASE("the filter off by a person's word outside the window is called back") {
  check_called_back(begun(), 50s, {filter_is(FilterState::off)});
  check_called_back(begun(without_window()), 50s, {filter_is(FilterState::off)});
}

TEST_CASE("filters are called back one after the other, before any other words") {
  auto plan = timeline_with_window();
  plan.rigs.push_back(plan.rigs.front());
  plan.rigs.back().name = "wide";
  plan.cues.push_back({at(201s), "Now", timeline::CueKind::spoken, 0});
  auto bench = begun(plan);
  bench.step(4s);
  bench.step(off_begins);
  bench.step(100s, {Request{SetFilter{"wide", FilterState::off}}});
  CHECK(bench.lines(200'700ms) == late_cue);
  CHECK(bench.lines(202'900ms) == now_on +
                                      " | late cue \"Camera filter back on, wide.\" | cue \"Now\": not " +
                                      "spoken: its time had passed");
}

TEST_CASE("words reworded by the plan are the ones said late, too") {
  auto plan = timeline_with_window();
  plan.cues.back().words = "Filter on the long lens.";
  CHECK(with_filter_off(plan).lines(300s) == "late cue \"Filter on the long lens.\"");
}

TEST_CASE("in a rehearsal the words keep the filter on, and it is on throughout") {
  for (const auto mode : {Mode::dress, Mode::simulated}) {
    Bench bench{timeline_with_window(), mode};
    CHECK(bench.step(0s) == "wake 96728.571");
    CHECK(bench.lines(96'728'571us) == "cue \"Rehearsal, keep the camera filter on, long.\"");
    CHECK(bench.lines(100s) == "filter of long on: a rehearsal: the filter stays on");
    CHECK(bench.lines(196'728'571us) == "cue \"Rehearsal, keep the camera filter on, long.\"");
    CHECK(bench.lines(200s) == "filter of long on: a rehearsal: the filter stays on" + done_note);
    Bench stalled{timeline_with_window(), mode};
    CHECK(stalled.lines(300s) ==
          "cue \"Rehearsal, keep the camera filter on, long.\": not spoken: its time had passed | "
          "cue \"Rehearsal, keep the camera filter on, long.\": not spoken: its time had passed" +
              done_note);
  }
}

TEST_CASE("frames that need the filter on wait for it, and are left out when it comes too late") {
  const auto plan = with_steps({targets("crescent", {3s, 60s}), back_to_back("sunrise", 80s, 85s)});
  Bench bench{plan};
  CHECK(bench.orders(0s).empty());
  CHECK(bench.orders(first_on_lasts) == "order 1 to 0: 1 frames, prepare 2000, earliest 3000");
  bench.step(5s, {order::Report{fired(1, {0, 0, 1, 1}, 3s)}, order::Report{done(1, 5s)}});
  bench.step(57s, {filter_is(FilterState::off)});
  CHECK(bench.orders(59'200ms) == "order 2 to 0: 1 frames, prepare 59000, earliest 60000");
  CHECK(bench.orders(59'300ms, {filter_is(FilterState::off)}) ==
        "cancel 2 on 0: the camera filter wasn't known to be on");
  auto off = begun(plan);
  off.step(3s, {order::Report{fired(1, {0, 0, 1, 1}, 3s)}, order::Report{done(1, 3s)}});
  off.step(56s, {filter_is(FilterState::off)});
  off.step(57s, {filter_is(FilterState::off)});
  CHECK(off.lines(62'001ms, {filter_is(FilterState::off)})
            .find("skip long/crescent 2.1: the camera filter wasn't known to be on") != std::string::npos);
}

TEST_CASE("frames that need it off don't ask where the filter is") {
  auto bench = begun(with_steps({unfiltered(back_to_back("corona", 110s, 150s))}));
  CHECK(bench.orders(107s) == "order 1 to 0: 2 frames, prepare 109000, earliest 110000");
}
