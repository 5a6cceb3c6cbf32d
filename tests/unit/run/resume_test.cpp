// A later core goes on from the log of the one before.
#include <doctest/doctest.h>

#include "tests/unit/run/fixture.h"

using namespace noonfall;
using namespace noonfall::run;

namespace {

constexpr order::FrameId first{0, 0, 1, 1};

/// Two instants, the first of them asked for.
Bench ordered() {
  Bench bench{timeline_of({targets("crescent", {100s, 200s})})};
  bench.step(97s);
  return bench;
}

/// The header alone is in its log: what was asked for later never reached the disk.
Bench only_begun(const timeline::Timeline& timeline) {
  Bench bench{timeline};
  bench.step(10s);
  return bench;
}

/// The first frame of order 1, without a picture.
order::FrameDone ended(order::Outcome outcome, Duration when) {
  order::FrameDone done;
  done.order = 1;
  done.id = first;
  done.outcome = outcome;
  done.at = at(when);
  return done;
}

Attached holding(std::vector<order::HeldOrder> held) {
  return {0, std::move(held)};
}

}  // namespace

TEST_CASE("a held order stays as it was, and its report is the last word") {
  auto later = ordered().next(timeline_of({targets("crescent", {100s, 200s})}));
  CHECK(later.step(99s, {holding({{1, at(98s)}})}) == "wake 117001.953");
  CHECK(
      later.step(100'100ms, {order::Report{fired(1, first, 100'020ms)}, order::Report{done(1, 100'100ms)}}) ==
      "fired long/crescent 1.1 due 100000 opened 100020 | wake 197000");
  CHECK(later.orders(197s) == "order 1002 to 0: 1 frames, prepare 199000, earliest 200000");
}

TEST_CASE("an order that no worker holds is unknown, never asked for again, and resolved by a late report") {
  auto later = ordered().next(timeline_of({targets("crescent", {100s, 200s})}));
  CHECK(later.step(99s) == "wake 104000");
  CHECK(later.step(99'500ms, {holding({})}) ==
        "unknown long/crescent 1.1 due 100000: the worker that held the order is gone | wake 197000");
  CHECK(later.lines(101s, {order::Report{fired(1, first, 100'020ms)}}) ==
        "fired long/crescent 1.1 due 100000 opened 100020: reported late");
}

TEST_CASE("a report that comes after a second restart still resolves the frame") {
  auto later = ordered().next(timeline_of({targets("crescent", {100s, 200s})}));
  later.step(99s, {holding({})});
  auto latest = later.next(timeline_of({targets("crescent", {100s, 200s})}));
  CHECK(latest.lines(101s, {holding({}), order::Report{fired(1, first, 100'020ms)}}) ==
        "fired long/crescent 1.1 due 100000 opened 100020: reported late");
}

TEST_CASE("what fell due while no core ran is passed over, once") {
  const auto timeline = timeline_of({targets("crescent", {100s, 200s, 300s})});
  Bench bench{timeline};
  bench.step(10s);
  auto later = bench.next(timeline);
  CHECK(later.step(250s, {holding({})}) ==
        "skip long/crescent 1.1: its time had passed | skip long/crescent 2.1: its time had passed | wake "
        "297000");
  auto latest = later.next(timeline);
  CHECK(latest.step(251s, {holding({})}) == "wake 297000");
}

TEST_CASE("a back-to-back step goes on with the next set's number") {
  const auto timeline = timeline_of({back_to_back("corona", 100s, 110s)});
  Bench bench{timeline};
  bench.step(97s);
  bench.step(100s, {order::Report{started(1, 99s)}});  // two sets are out
  CHECK(bench.next(timeline).lines(103s, {holding({})}).find("intent long/corona 3.1 order 1003") !=
        std::string::npos);
}

TEST_CASE("a hold and a skip of before still hold, a resumed rig is free") {
  const auto timeline =
      timeline_of({targets("crescent", {100s}), targets("corona", {300s}), targets("beads", {400s})});
  Bench bench{timeline};
  bench.step(10s, {Request{Hold{"long"}}, Request{SkipStep{"corona"}}});
  auto later = bench.next(timeline);
  CHECK(later.lines(97s, {holding({})}) ==
        "skip long/crescent 1.1: the rig was held | skip long/corona 0.0: the operator skipped the step");
  later.step(150s, {Request{Resume{"long"}}});
  CHECK(later.next(timeline).lines(397s, {holding({})}).starts_with("intent long/beads 1.1"));
}

TEST_CASE("a hold that was taken back, and a trim, call back nothing that is held now") {
  const auto timeline = timeline_of({targets("crescent", {100s, 200s})});
  Bench bench{timeline};
  bench.step(10s, {Request{Hold{"long"}}});
  bench.step(20s, {Request{Resume{"long"}}});
  bench.step(97s);
  bench.step(98s, {Request{Trim{"long", -1}}});
  CHECK(bench.next(timeline).step(99s, {holding({{1, at(98s)}})}) == "wake 117001.953");
}

TEST_CASE("what a hold or a skip should have called back is called back by the next core") {
  const auto timeline = timeline_of({targets("crescent", {100s, 200s})});
  for (const auto& command : {Request{Hold{"long"}}, Request{SkipStep{"crescent"}}}) {
    Bench bench{timeline};
    bench.step(97s);
    bench.step(98s, {command});
    CHECK(bench.next(timeline).orders(99s, {holding({{1, at(98s)}})}).starts_with("cancel 1 on 0"));
  }
}

TEST_CASE("a hold of a rig operated by hand asks nothing of anybody, now or later") {
  auto timeline = timeline_of({targets("crescent", {100s})});
  timeline.rigs.front().by_hand = true;
  timeline.cues = {{at(500s), "Halfway", timeline::CueKind::spoken, 0}};
  Bench bench{timeline};
  CHECK(bench.orders(10s, {Request{Hold{"long"}}, Request{Resume{"long"}}}).empty());
  CHECK(bench.next(timeline).orders(20s).empty());
}

TEST_CASE("a log whose first line is lost goes on with its numbers, and with a new header") {
  const auto timeline = timeline_of({targets("crescent", {100s, 200s})});
  Run run{timeline, {shotlog::Mode::event, "hash"}, {}};
  auto lines = run.step(at(97s), {}).lines;
  lines.erase(lines.begin());
  const auto account = shotlog::account_of(lines);
  CHECK(account.plans.empty());
  Run later{timeline, {shotlog::Mode::event, "hash"}, {}, account};
  const auto more = later.step(at(98s), std::vector<Input>{holding({{1, std::nullopt}})});
  REQUIRE(more.lines.size() == 1);
  CHECK(more.lines.front().seq == 3);
  CHECK(std::holds_alternative<shotlog::Amendment>(more.lines.front().entry));
  CHECK(later.step(at(197s), std::vector<Input>{order::Report{done(1, 100s)}}).to_rigs.size() == 1);
}

TEST_CASE("an amended step: what was done stays done, the rest is planned anew under numbers of its own") {
  auto bench = ordered();
  bench.step(100'100ms, {order::Report{started(1, 99s)}, order::Report{fired(1, first, 100'020ms)},
                         order::Report{done(1, 100'100ms)}});
  auto amended = timeline_of({targets("crescent", {100s, 150s, 250s})});
  amended.title = "Amended";
  auto later = bench.next(amended);
  CHECK(later.step(120s, {holding({})}) ==
        "amendment: the contacts or settings are other ones | wake 147000");
  CHECK(later.lines(147s) == "intent long/crescent 2.1 order 1002 due 150000 latest 152000");
  auto again = later.next(timeline_of({targets("crescent", {150s, 250s})}));
  CHECK(again.lines(148s, {holding({{1002, std::nullopt}})}).starts_with("amendment"));
  // The second set is now another instant, whose number is taken.
  CHECK(again.lines(247s, {order::Report{done(1002, 152s)}})
            .ends_with("intent long/crescent 3.1 order 2003 due 250000 latest 252000"));
}

TEST_CASE("a step that an earlier plan's sky had no room for is taken where the amended plan has it") {
  auto elsewhere = timeline_of({targets("crescent", {100s})});
  elsewhere.skipped = {{"corona", "long", "there is no C2"}};
  const auto here = timeline_of({targets("crescent", {100s}), targets("corona", {300s})});
  auto later = only_begun(elsewhere).next(here);
  later.step(20s, {holding({})});
  later.step(97s);
  later.step(101s, {order::Report{fired(1001, first, 100'020ms)}, order::Report{done(1001, 100'100ms)}});
  CHECK(later.lines(297s) == "intent long/corona 1.1 order 1002 due 300000 latest 302000");
}

TEST_CASE("orders of a step that an amendment changed are called back, those of other steps are kept") {
  auto bench = ordered();
  auto amended = timeline_of({targets("crescent", {101s, 200s})});
  CHECK(bench.next(amended).orders(98s, {holding({{1, std::nullopt}})}) ==
        "cancel 1 on 0: the plan was amended | order 1002 to 0: 1 frames, prepare 100000, earliest 101000");
  amended = timeline_of({targets("crescent", {100s, 200s}), targets("corona", {300s})});
  CHECK(bench.next(amended).orders(98s, {holding({{1, std::nullopt}})}).empty());
}

TEST_CASE("frames asked of a rig that the amended plan has no more are unknown") {
  auto bench = ordered();
  auto amended = timeline_of({targets("crescent", {100s, 200s})});
  amended.rigs.front().name = "spare";
  CHECK(bench.next(amended)
            .lines(98s, {holding({})})
            .starts_with("unknown long/crescent 1.1 due 100000: the rig is not in the plan any more | "
                         "amendment: the rigs have other bodies | intent spare/crescent 1.1 order 1002"));
}

TEST_CASE("a remark is kept as a note") {
  auto bench = ordered();
  CHECK(bench.lines(98s, {Remark{"long: SCHED_FIFO is not permitted"}}) ==
        "note long: SCHED_FIFO is not permitted");
}

TEST_CASE("after a log that stopped growing, a core takes the frames its worker holds or tells of as taken") {
  const auto timeline = timeline_of({targets("crescent", {100s, 101s, 200s})});
  auto later = only_begun(timeline).next(timeline);
  CHECK(later.step(98s) == "wake 103000");
  CHECK(later.step(98'100ms, {Attached{0, {{1, at(98s)}, {2, std::nullopt}}, 2}}).empty());
  CHECK(
      later.step(100'100ms, {order::Report{fired(1, first, 100'020ms)}, order::Report{done(1, 100'100ms)}}) ==
      "intent long/crescent 1.1 order 1 due 100000 latest 209998.047 | "
      "fired long/crescent 1.1 due 100000 opened 100020");
  CHECK(later.lines(101'100ms, {order::Report{fired(2, {0, 0, 2, 1}, 101'020ms)}}) ==
        "intent long/crescent 2.1 order 2 due 101000 latest 209998.047 | "
        "fired long/crescent 2.1 due 101000 opened 101020");
  CHECK(later.step(101'200ms, {order::Report{done(2, 101'100ms)}}) == "wake 197000");
  CHECK(later.orders(197s) == "order 1001 to 0: 1 frames, prepare 199000, earliest 200000");
}

TEST_CASE("numbers go on above the highest that any worker took") {
  const auto timeline = timeline_of({targets("crescent", {100s, 200s})});
  auto later = ordered().next(timeline);
  later.step(99s, {Attached{0, {{1, at(98s)}}, 4711}});
  later.step(101s, {order::Report{fired(1, first, 100'020ms)}, order::Report{done(1, 100'100ms)}});
  CHECK(later.orders(197s) == "order 4712 to 0: 1 frames, prepare 199000, earliest 200000");
}

TEST_CASE("a set of a back-to-back step that no log knows of isn't taken again under its number") {
  const auto timeline = timeline_of({back_to_back("corona", 100s, 110s)});
  auto later = only_begun(timeline).next(timeline);
  later.step(101s, {Attached{0, {{7, at(100s)}}, 7}});
  const auto lines =
      later.lines(102s, {order::Report{fired(7, {0, 0, 7, 1}, 101s)}, order::Report{done(7, 102s)}});
  CHECK(lines.find("intent long/corona 8.1 order 1001") != std::string::npos);
}

TEST_CASE("a hold stops orders that no log knows of, too, before or after their worker is on the line") {
  const auto timeline = timeline_of({back_to_back("corona", 100s, 110s)});
  const Attached holding{0, {{7, at(100s)}}, 7};
  auto earlier = only_begun(timeline);
  earlier.step(20s, {Request{Hold{"long"}}});
  CHECK(earlier.next(timeline).orders(101s, {holding}) == "cancel 7 on 0: the rig was held");
  auto later = only_begun(timeline).next(timeline);
  later.step(101s, {holding});
  CHECK(later.orders(102s, {Request{Hold{"long"}}}) == "cancel 7 on 0: the rig was held");
}

TEST_CASE("a core whose rig has no worker doesn't wait for it for good") {
  auto later = ordered().next(timeline_of({targets("crescent", {200s})}));
  later.step(196s);
  CHECK(later.orders(201s) == "order 1002 to 0: 1 frames, prepare 199000, earliest 200000");
}

TEST_CASE("an order that the worker won't take ends no step: the next goes out, each time a little later") {
  Bench bench{timeline_of({back_to_back("corona", 100s, 110s)})};
  bench.step(97s);
  auto frame = ended(order::Outcome::failed, 98s);
  frame.why = "the worker wouldn't take it";
  CHECK(bench.step(98s, {order::Report{frame}, order::Report{done(1, 98s)}}) ==
        "failed long/corona 1.1 due 100000: the worker wouldn't take it | wake 98250");
  CHECK(bench.orders(98'250ms).starts_with("order 2 to 0"));
  frame.order = 2;
  frame.id.set = 2;
  CHECK(
      bench.step(98'300ms, {order::Report{frame}, order::Report{done(2, 98'300ms)}}).ends_with("wake 98800"));
}

TEST_CASE("a back-to-back step is over when the time of an order's every frame had passed") {
  Bench bench{timeline_of({back_to_back("corona", 100s, 110s)})};
  bench.step(97s);
  const auto frame = ended(order::Outcome::skipped, 109s);
  bench.step(109s, {order::Report{started(1, 109s)}, order::Report{frame}, order::Report{done(1, 109s)}});
  CHECK(bench.orders(109'100ms).empty());
}
