#include <doctest/doctest.h>

#include "lib/run/recovery_ladder.h"
#include "tests/unit/run/fixture.h"

using namespace noonfall;
using namespace noonfall::run;

namespace {

constexpr order::FrameId only{0, 0, 1, 1};
// The shutter would have closed by 102.001953 s; 15 s later nothing is expected any more.
constexpr Duration overdue = 117'001'953us;

Bench ordered() {
  Bench bench{timeline_of({targets("crescent", {100s, 300s})})};
  bench.step(97s);
  return bench;
}

order::Report without_picture(order::Outcome outcome, const std::string& why) {
  auto report = fired(1, only, 100s);
  report.outcome = outcome;
  report.why = why;
  return report;
}

order::Report state(bool ready, Duration now, const std::string& why = {}) {
  return order::RigState{0, ready, at(now), why};
}

}  // namespace

TEST_CASE("each last word on a frame is logged as what it is, with its reason") {
  const auto logged = [](const order::Report& report) { return ordered().lines(101s, {report}); };
  CHECK(logged(fired(1, only, 100'020ms)) == "fired long/crescent 1.1 due 100000 opened 100020");
  CHECK(logged(without_picture(order::Outcome::failed, "no focus")) ==
        "failed long/crescent 1.1 due 100000: no focus");
  CHECK(logged(without_picture(order::Outcome::unknown, "no word")) ==
        "unknown long/crescent 1.1 due 100000: no word");
  CHECK(logged(without_picture(order::Outcome::skipped, "too late")) == "skip long/crescent 1.1: too late");
  CHECK(logged(without_picture(order::Outcome::cancelled, "held")) ==
        "cancelled long/crescent 1.1 due 100000: held");
}

TEST_CASE("a frame has one last word: a second one isn't logged") {
  auto bench = ordered();
  bench.step(101s, {order::Report{fired(1, only, 100s)}});
  CHECK(bench.lines(102s, {order::Report{fired(1, only, 100s)}}).empty());
  bench.step(103s, {order::Report{done(1, 103s)}});
  CHECK(bench.lines(104s, {order::Report{fired(1, only, 100s)}}).empty());
}

// The dial at P at opening and turned to M afterwards: 30 of 30 frames were exposed 1/8000 s, and nobody was
// told (run on a simulated body).
TEST_CASE("the first frame of a step that is exposed otherwise is told of, the ones after it aren't") {
  auto bench = ordered();
  auto report = fired(1, only, 100'020ms);
  report.exposure.shutter = {1, 8000};
  report.why = "wrong exposure: 1/500 f/8 ISO 400 was asked for";
  CHECK(bench.lines(101s, {order::Report{report}, order::Report{done(1, 101s)}}) ==
        "fired long/crescent 1.1 due 100000 opened 100020: wrong exposure: 1/500 f/8 ISO 400 was asked for | "
        "fault long ready: wrong exposure in step crescent: 1/8000 f/8 ISO 400 instead of 1/500 f/8 ISO 400; "
        "look at the body's mode dial");
  bench.step(297s);
  report.order = 2;
  report.id.set = 2;
  CHECK(bench.lines(301s, {order::Report{report}}).find("fault") == std::string::npos);
}

TEST_CASE("a body that comes and goes all the time fills no log, and is left for longer each time") {
  auto bench = ordered();
  std::string lines;
  int recoveries = 0;
  for (int n = 0; n < 1000; ++n) {
    const auto now = 98s + n * 1ms;
    for (const bool ready : {false, true}) {
      const auto told = bench.step(now, {state(ready, now, "flaps")});
      for (auto at = told.find("fault "); at != std::string::npos; at = told.find("fault ", at + 1))
        lines += '|';
      recoveries += told.find("recover") == std::string::npos ? 0 : 1;
    }
  }
  CHECK(lines.size() == 40);
  CHECK(recoveries <= 3);
  CHECK(bench.lines(120s).find("1960 more reports of rig long are left out of the log") != std::string::npos);
}

TEST_CASE("words about orders and rigs that never were change nothing") {
  auto bench = ordered();
  CHECK(
      bench.step(98s, {order::Report{started(7, 98s)}, order::Report{done(0, 98s)},
                       order::Report{fired(9, {0, 0, 5, 1}, 98s)}, order::Report{fired(1, {3, 0, 1, 1}, 98s)},
                       order::Report{order::RigState{-1, false, at(98s), "gone"}}}) == "wake 117001.953");
}

TEST_CASE("an order without any answer is closed as unknown when overdue, to the microsecond") {
  auto bench = ordered();
  CHECK(bench.step(overdue - 1us) == "wake 117001.953");
  CHECK(bench.step(overdue) ==
        "unknown long/crescent 1.1 due 100000: no word came from the rig | "
        "cancel 1 on 0: no word came from the rig | wake 297000");
}

namespace {

const std::string late_frame_alarm =
    "fault long away: no word from the body, it may still take a frame: camera filter back on first, then "
    "switch the camera off";

/// One unfiltered frame is due at 100 s and was asked for; the filter goes back on from 105 s to 113 s.
Bench unfiltered(shotlog::Mode mode) {
  auto step = targets("prominences", {100s});
  step.filtered = false;
  auto timeline = timeline_of({step});
  timeline.rigs.front().has_filter = true;
  timeline.rigs.front().window = {at(80s), at(88s), at(105s), at(113s)};
  Bench bench{timeline, mode};
  bench.step(97s);
  return bench;
}

}  // namespace

TEST_CASE("a body without a word when the filter's time is up may still take a frame: an alarm, once") {
  auto bench = unfiltered(shotlog::Mode::dress);
  CHECK(bench.lines(107s - 1us).empty());
  CHECK(bench.lines(107s) == late_frame_alarm);
  CHECK(bench.lines(108s).empty());
  CHECK(bench.lines(overdue).find("fault") == std::string::npos);
}

TEST_CASE("a frame left without a word by its body is as good a reason for the alarm") {
  auto bench = unfiltered(shotlog::Mode::event);
  bench.lines(104s, {without_picture(order::Outcome::unknown, "no word"), done(1, 104s)});
  CHECK(bench.lines(107s - 1us).find(late_frame_alarm) == std::string::npos);
  CHECK(bench.lines(107s).find(late_frame_alarm) != std::string::npos);
}

TEST_CASE("a body heard of since needs no alarm") {
  const auto alarmed_after = [](const std::vector<Input>& words) {
    auto bench = unfiltered(shotlog::Mode::event);
    bench.lines(104s, words);
    return bench.lines(107s).find(late_frame_alarm) != std::string::npos;
  };
  const auto unknown = without_picture(order::Outcome::unknown, "no word");
  CHECK(alarmed_after({unknown, done(1, 104s)}));
  CHECK_FALSE(alarmed_after({order::Report{fired(1, only, 100s)}, done(1, 104s)}));
  CHECK_FALSE(alarmed_after({unknown, done(1, 104s), state(true, 104s)}));
}

TEST_CASE("a late word resolves what was given up, once") {
  auto bench = ordered();
  bench.step(overdue);
  CHECK(bench.lines(200s, {order::Report{fired(1, only, 100'020ms)}}) ==
        "fired long/crescent 1.1 due 100000 opened 100020: reported late");
  CHECK(bench.lines(201s, {order::Report{fired(1, only, 100'020ms)}}).empty());
}

TEST_CASE("a late word keeps its own reason") {
  auto bench = ordered();
  bench.step(overdue);
  auto report = fired(1, only, 100'020ms);
  report.outcome = order::Outcome::unknown;
  report.why = "no picture was announced";
  CHECK(bench.lines(200s, {order::Report{report}}) ==
        "unknown long/crescent 1.1 due 100000: no picture was announced");
}

TEST_CASE("an order behind a long exposure has the core look again when that one is overdue, no sooner") {
  auto slow = targets("slow", {100s});
  slow.shapes.front().exposures.front().shutter = {20, 1};
  slow.until = at(200s);
  Bench bench{timeline_of({slow, targets("crescent", {101s})})};
  bench.step(98s);
  // Opening at 102 s at the latest, closed 20.159 s later (a nominal 20 s is 2^(13/3) s, by the scale of
  // thirds), and 15 s for a word; of the second alone it would be at 118 s.
  CHECK(bench.step(119s) == "wake 137158.737");
  CHECK(bench.lines(137'158'737us) ==
        "unknown long/slow 1.1 due 100000: no word came from the rig | "
        "unknown long/crescent 1.1 due 101000: no word came from the rig | the plan is done");
}

TEST_CASE("an overdue order of which some frames are known gives up the others only") {
  auto step = targets("crescent", {100s});
  step.shapes = {{{quick, quick}, {Duration{0}, 500ms}, 502ms, 1s}};
  Bench bench{timeline_of({step})};
  bench.step(97s);
  bench.step(101s, {order::Report{fired(1, only, 100s)}});
  CHECK(bench.lines(overdue + 500ms) ==
        "unknown long/crescent 1.2 due 100500: no word came from the rig | the plan is done");
}

TEST_CASE("a rig that went away is brought back: asked at once, again every 30 s, no more once it is there") {
  auto bench = ordered();
  CHECK(bench.step(98s, {state(false, 98s, "off the line")}) ==
        "fault long away: off the line | recover 0 until 128000 | wake 117001.953");
  CHECK(bench.orders(overdue) == "cancel 1 on 0: no word came from the rig");
  CHECK(bench.step(128s - 1us) == "wake 128000");
  CHECK(bench.step(128s) ==
        "fault long away: still away: its port is reset | recover 0 by port until 158000 | wake 158000");
  CHECK(bench.step(130s, {state(true, 130s)}) == "fault long ready | wake 297000");
  CHECK(bench.orders(158s).empty());
}

TEST_CASE("a rig that stays away is brought back rung by rung, and then from the first again") {
  auto bench = ordered();
  bench.step(98s, {state(false, 98s, "off the line")});
  bench.step(128s);
  CHECK(bench.orders(158s) == "recover 0 by worker until 188000");
  CHECK(bench.orders(188s) == "recover 0 until 218000");
}

TEST_CASE("a rig that goes away a second time is asked for at once") {
  auto bench = ordered();
  bench.step(98s, {state(false, 98s)});
  bench.step(99s, {state(true, 99s)});
  CHECK(bench.orders(100s, {state(false, 100s)}) == "recover 0 until 130000");
}

TEST_CASE("a rig that says again that it is away isn't asked again before its time") {
  auto bench = ordered();
  bench.step(98s, {state(false, 98s)});
  CHECK(bench.orders(99s, {state(false, 99s)}).empty());
}

TEST_CASE("a body that stays away gives way to its spare behind a new worker, at once the next time") {
  auto facts = Facts{shotlog::Mode::event, "hash", {}};
  facts.spares = {"3012346"};
  Run run{timeline_of({targets("crescent", {100s, 900s})}), facts, {shotlog::ClockGrade::a, 3ms}};
  const auto step = [&](Duration now, const std::vector<Input>& inputs = {}) {
    return run.step(at(now), inputs);
  };
  const auto spare_may = [&](Duration now, const std::vector<Input>& inputs = {}) -> bool {
    std::vector<bool> may;
    for (const auto& sent : step(now, inputs).to_rigs)
      if (const auto* recover = std::get_if<order::Recover>(&sent.message)) may.push_back(recover->spare);
    REQUIRE(may.size() == 1);
    return may.front();
  };
  (void)step(110s);
  CHECK_FALSE(spare_may(200s, {state(false, 200s, "off the line")}));
  CHECK_FALSE(spare_may(230s));
  CHECK_FALSE(spare_may(260s));
  (void)step(262s, {state(true, 262s, "its worker is on the line")});
  (void)step(263s, {state(false, 263s, "no body has the serial number")});
  CHECK(spare_may(290s));
  const auto out = step(300s, {order::Report{order::RigState{0, true, at(300s), {}, "3012346"}}});
  REQUIRE(out.lines.size() == 1);
  CHECK(std::get<shotlog::BodyNews>(out.lines.front().entry) ==
        shotlog::BodyNews{"long", true, "goes on with its spare, serial number 3012346"});
  CHECK(spare_may(500s, {state(false, 500s, "the worker was killed")}));
}

TEST_CASE("a body that came back by itself has to stay away as long again before its spare is taken") {
  RecoveryLadder ladder{false, true};
  const auto spare_may = [&](Duration now, Utc wanted = Utc::max()) {
    return ladder.advance(at(now), wanted)->recover.spare;
  };
  ladder.body_is(false, at(0s));
  for (const auto now : {0s, 30s, 60s}) CHECK_FALSE(spare_may(now));
  CHECK(spare_may(90s));
  ladder.body_is(true, at(100s));
  ladder.body_is(false, at(200s));
  for (const auto now : {200s, 230s, 260s}) CHECK_FALSE(spare_may(now));
  CHECK_FALSE(spare_may(290s, at(299s)));  // it would come too late for the window
  CHECK(spare_may(320s, at(330s)));
  RecoveryLadder without{false};
  without.body_is(false, at(0s));
  for (const auto now : {0s, 30s, 60s, 90s}) CHECK_FALSE(without.advance(at(now), Utc::max())->recover.spare);
}
