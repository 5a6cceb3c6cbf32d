#include <deque>

#include <doctest/doctest.h>

#include "tests/unit/run/fixture.h"

using namespace noonfall;
using namespace noonfall::run;

namespace {

const std::string first_of_pair =
    "intent long/corona 1.1 order 1 due 100000 latest 109998.047 | "
    "intent long/corona 1.2 order 1 due 100500 latest 109998.047 | "
    "order 1 to 0: 2 frames, prepare 99000, earliest 100000";

order::FrameId frame(std::int32_t set, std::int32_t n) {
  return {0, 0, set, n};
}

/// Everything of order `id`, a back-to-back set whose first shutter opened at `opened`.
std::vector<Input> whole_set(std::int64_t id, Duration opened) {
  const auto set = static_cast<std::int32_t>(id);
  return {order::Report{fired(id, frame(set, 1), opened)},
          order::Report{fired(id, frame(set, 2), opened + 500ms)}, order::Report{done(id, opened + 510ms)}};
}

struct Played {
  int frames = 0;
  bool finished = false;
  bool operator==(const Played&) const = default;
};

/// The step shot by a body that opens its shutter every 500 ms and passes over what is too late.
Played play(const timeline::RigStep& step) {
  Run run{timeline_of({step}), {shotlog::Mode::event, "hash", {}}, {}};
  Played played;
  std::deque<order::Order> pending;
  const auto advance = [&](Utc now, const std::vector<Input>& inputs) {
    const auto out = run.step(now, inputs);
    for (const auto& sent : out.to_rigs) pending.push_back(std::get<order::Order>(sent.message));
    played.finished = out.finished;
  };
  auto opening = step.from;
  advance(step.from - 3s, {});
  while (!pending.empty()) {
    const auto order = pending.front();
    pending.pop_front();
    advance(opening - 60ms, {order::Report{started(order.id, opening - 60ms - at(0s))}});
    std::vector<Input> reports;
    const bool none = order.whole_or_none && opening > order.frames.front().latest;
    for (const auto& each : order.frames) {
      auto report = fired(order.id, each.id, opening - at(0s));
      if (none || opening > each.latest) {
        report.outcome = order::Outcome::skipped;
      } else {
        ++played.frames;
        opening += 500ms;
      }
      reports.emplace_back(order::Report{report});
    }
    reports.emplace_back(order::Report{done(order.id, opening - 450ms - at(0s))});
    advance(opening - 450ms, reports);
  }
  return played;
}

}  // namespace

TEST_CASE("a rig's worker can be told when the next order's preparations may begin, if any will") {
  Run run{timeline_of({targets("crescent", {100s, 200s}), back_to_back("corona", 300s, 310s)}),
          {shotlog::Mode::event, "hash", {}},
          {}};
  const auto next_due = [&](Duration now) { return run.step(at(now), {}).next_due; };
  CHECK(next_due(10s) == std::vector<Utc>{at(99s)});  // a second before, as the fixture's steps have it
  CHECK(next_due(97s) == std::vector<Utc>{at(199s)});
  CHECK(next_due(197s) == std::vector<Utc>{at(299s)});
  CHECK(run.step(at(198s), std::vector<Input>{Request{Stop{}}}).next_due == std::vector<Utc>{Utc::max()});
}

TEST_CASE("a target's order goes out two seconds before its settings do, after its intent") {
  Bench bench{timeline_of({targets("crescent", {100s})})};
  CHECK(bench.step(0s) == "wake 97000");
  CHECK(bench.step(97s - 1us) == "wake 97000");
  CHECK(bench.step(97s) ==
        "intent long/crescent 1.1 order 1 due 100000 latest 102000 | "
        "order 1 to 0: 1 frames, prepare 99000, earliest 100000 | wake 117001.953");
  CHECK(bench.step(100s,
                   {order::Report{fired(1, frame(1, 1), 100'012ms)}, order::Report{done(1, 100'030ms)}}) ==
        "fired long/crescent 1.1 due 100000 opened 100012 | the plan is done | finished");
  CHECK(bench.step(200s) == "finished");
}

TEST_CASE("the intent of a step has lower numbers than what follows, the header the lowest") {
  Run run{timeline_of({targets("crescent", {100s})}), {shotlog::Mode::event, "hash", {}}, {}};
  const auto lines = run.step(at(97s), {}).lines;
  REQUIRE(lines.size() == 2);
  CHECK(lines[0].seq == 1);
  CHECK(std::holds_alternative<shotlog::Header>(lines[0].entry));
  CHECK(lines[1].seq == 2);
  CHECK(lines[1].utc == at(97s));
  CHECK(std::holds_alternative<shotlog::Intent>(lines[1].entry));
}

TEST_CASE("a target passed by its patience is skipped, to the microsecond, and the next one is shot") {
  const auto late = [](Duration now) {
    Bench bench{timeline_of({targets("crescent", {100s, 200s})})};
    return bench.step(now);
  };
  CHECK(late(102s) ==
        "intent long/crescent 1.1 order 1 due 100000 latest 102000 | "
        "order 1 to 0: 1 frames, prepare 99000, earliest 100000 | wake 117001.953");
  CHECK(late(102s + 1us) == "skip long/crescent 1.1: its time had passed | wake 197000");
}

TEST_CASE("frames close before their step ends, whatever their patience") {
  auto step = targets("crescent", {100s});
  step.until = at(100s + 3ms);
  Bench bench{timeline_of({step})};
  // 1/500 stands for 2^-9 s, 1.953 ms (ISO 516's names on the third-stop scale).
  CHECK(bench.lines(97s) == "intent long/crescent 1.1 order 1 due 100000 latest 100001.047");
}

TEST_CASE("a rig never has more than two orders, however close its targets are") {
  Bench bench{timeline_of({targets("crescent", {100s, 100'500ms, 101s, 101'500ms})})};
  CHECK(bench.orders(99s) ==
        "order 1 to 0: 1 frames, prepare 99000, earliest 100000 | "
        "order 2 to 0: 1 frames, prepare 99500, earliest 100500");
  CHECK(bench.orders(99'900ms, {order::Report{started(1, 99'800ms)}}).empty());
  CHECK(bench.orders(100'100ms,
                     {order::Report{fired(1, frame(1, 1), 100s)}, order::Report{done(1, 100'020ms)}}) ==
        "order 3 to 0: 1 frames, prepare 100000, earliest 101000");
}

TEST_CASE("a back-to-back step's first order goes out ahead, the second only when the first has started") {
  Bench bench{timeline_of({back_to_back("corona", 100s, 110s)})};
  CHECK(bench.step(97s - 1us) == "wake 97000");
  CHECK(bench.step(97s) == first_of_pair + " | wake 125000");
  CHECK(bench.orders(99s).empty());
  CHECK(bench.orders(99'010ms, {order::Report{started(1, 99s)}}) ==
        "order 2 to 0: 2 frames, prepare 99000, earliest 100000");
  // Two are out: the third waits for the first to be done and the second to have started.
  CHECK(bench.orders(100'600ms, whole_set(1, 100s)).empty());
  CHECK(bench.orders(100'700ms, {order::Report{started(2, 100'650ms)}}) ==
        "order 3 to 0: 2 frames, prepare 99000, earliest 100000");
}

TEST_CASE("back to back goes on while a frame can close in the span, then the plan is done") {
  CHECK(play(back_to_back("corona", 100s, 103s)) == Played{6, true});
  // The seventh frame would open at 103 s and close 1.953 ms later.
  CHECK(play(back_to_back("corona", 100s, 103'001'953us)) == Played{7, true});
  CHECK(play(back_to_back("corona", 100s, 103'001'952us)) == Played{6, true});
}

TEST_CASE("orders that are refused end no step: others follow, after pauses that grow") {
  Bench bench{timeline_of({back_to_back("corona", 100s, 110s)})};
  bench.step(98s);
  const auto refused = [&](std::int64_t id, Duration now) {
    auto reports = whole_set(id, now);
    for (int n = 0; n < 2; ++n) {
      auto& frame_done =
          std::get<order::FrameDone>(std::get<order::Report>(reports[static_cast<std::size_t>(n)]));
      frame_done.outcome = order::Outcome::failed;
    }
    reports.back() = order::Report{done(id, now)};
    return bench.orders(now, reports);
  };
  CHECK(refused(1, 98s) == "");
  CHECK(bench.orders(98'249ms) == "");
  CHECK(bench.orders(98'250ms) == "order 2 to 0: 2 frames, prepare 99000, earliest 100000");
  CHECK(refused(2, 98'300ms) == "");
  CHECK(bench.orders(98'799ms) == "");
  CHECK(bench.orders(98'800ms) == "order 3 to 0: 2 frames, prepare 99000, earliest 100000");
}

TEST_CASE("a set that would be cut off isn't started where unfinished sets are dropped") {
  auto step = back_to_back("corona", 100s, 102'400ms);
  CHECK(play(step).frames == 5);
  step.unfinished = plan::Unfinished::drop;
  CHECK(play(step) == Played{4, true});  // the third set would last until 102.502 s
}

TEST_CASE("a burst is one order as long as the span allows") {
  auto step = back_to_back("beads", 100s, 101s);
  step.drive = body::Drive::continuous;
  step.shapes = {{{quick}, {Duration{0}}, 2ms, 50ms}};
  Bench bench{timeline_of({step})};
  // Every 50 ms from 0 to 950 ms.
  CHECK(bench.orders(97s) == "order 1 to 0: 20 frames, prepare 99000, earliest 100000");
  CHECK(bench.orders(100s, {order::Report{started(1, 99s)}}).empty());
}

TEST_CASE("a step for which the buffer has no room is left out, with the reason") {
  auto step = back_to_back("beads", 100s, 100'100ms);
  step.leave_free_frames = 51;  // of fifty
  Bench bench{timeline_of({step})};
  CHECK(bench.step(97s) ==
        "skip long/beads 0.0: the buffer has no room for it | the plan is done | finished");
}

TEST_CASE("a back-to-back step begun too late is left out, with the reason") {
  Bench bench{timeline_of({back_to_back("corona", 100s, 110s)})};
  CHECK(bench.step(110s) == "skip long/corona 0.0: its time had passed | the plan is done | finished");
}

TEST_CASE("a rig by hand gets no orders") {
  auto timeline = timeline_of({targets("crescent", {100s})});
  timeline.rigs.front().by_hand = true;
  Bench bench{timeline};
  CHECK(bench.step(97s) == "the plan is done | finished");
}

TEST_CASE("steps left out beforehand are logged at once with their reasons") {
  auto timeline = empty_timeline();
  timeline.skipped.push_back({"corona", "long", "no totality here"});
  Bench bench{timeline};
  CHECK(bench.step(0s) == "skip long/corona 0.0: no totality here | the plan is done | finished");
}
