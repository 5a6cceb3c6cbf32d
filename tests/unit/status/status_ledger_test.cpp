#include "daemon/status/status_ledger.h"

#include <doctest/doctest.h>

#include "tests/unit/run/fixture.h"

using namespace noonfall;
using namespace noonfall::status;
using run::at;
using shotlog::FilterState;
using namespace std::chrono_literals;

namespace {

timeline::Timeline plan() {
  auto timeline =
      run::timeline_of({run::targets("crescent", {100s, 200s}), run::back_to_back("corona", 300s, 320s)});
  timeline.rigs[0].has_filter = true;
  timeline.rigs[0].steps[0].from = at(90s);
  timeline.rigs[0].steps[0].until = at(210s);
  timeline.circumstances.contacts[1].emplace().utc = at(299s);
  timeline.circumstances.contacts[3].emplace().utc = at(330s);
  timeline.hands_on.push_back({0, 0, "aim again", {}, at(10s), at(20s)});
  return timeline;
}

timeline::Timeline plan_under(contacts::Kind kind) {
  auto timeline = plan();
  timeline.circumstances.kind = kind;
  return timeline;
}

class Bench {
 public:
  void take(shotlog::Entry entry) { ledger_.take({++seq_, at(50s), clock_, std::move(entry)}); }
  void frame(std::int32_t set, order::Outcome result) {
    take(shotlog::FrameOutcome{{"long", "crescent", set, 1}, result, at(100s), {}, run::quick, {}, {}});
  }
  [[nodiscard]] RigStatus rig(Duration now = 50s) const { return ledger_.facts(at(now)).rigs.at(0); }
  [[nodiscard]] StatusFacts facts(Duration now = 50s) const { return ledger_.facts(at(now)); }
  StatusLedger& ledger() { return ledger_; }

 private:
  StatusLedger ledger_{plan(), shotlog::Mode::dress};
  shotlog::ClockState clock_{shotlog::ClockGrade::b, 40ms};
  std::int64_t seq_ = 0;
};

}  // namespace

TEST_CASE("frames are counted by their last word, each once") {
  Bench bench;
  bench.frame(1, order::Outcome::unknown);
  bench.frame(2, order::Outcome::failed);
  CHECK(bench.rig().frames.unknown == 1);
  bench.frame(1, order::Outcome::fired);  // a late report
  CHECK(bench.rig().frames.unknown == 0);
  CHECK(bench.rig().frames.fired == 1);
  CHECK(bench.rig().frames.failed == 1);
  bench.take(shotlog::Skip{{"long", "corona", 1, 1}, at(300s), shotlog::SkipReason::late});
  bench.take(shotlog::Skip{{"long", "corona", 0, 0}, {}, shotlog::SkipReason::other, "the whole step"});
  bench.take(shotlog::Skip{{"another rig", "corona", 1, 1}, at(300s), shotlog::SkipReason::late});
  CHECK(bench.rig().frames.skipped == 1);
}

TEST_CASE("a body is starting until it is heard of, then as the last word about it says") {
  Bench bench;
  CHECK(bench.rig().body == BodyState::starting);
  bench.frame(1, order::Outcome::fired);
  CHECK(bench.rig().body == BodyState::ready);
  bench.take(shotlog::BodyNews{"long", false, "the cable is off"});
  CHECK(bench.rig().body == BodyState::away);
  CHECK(bench.rig().why == "the cable is off");
  CHECK(bench.facts().alarms == std::vector<Alarm>{{at(50s), "long: the cable is off"}});
  bench.take(shotlog::CommandLine{shotlog::Hold{"long"}});
  CHECK(bench.rig().body == BodyState::away);
  bench.take(shotlog::BodyNews{"long", true, {}});
  CHECK(bench.rig().body == BodyState::held);
  bench.take(shotlog::CommandLine{shotlog::Resume{"long"}, "refused for a reason"});
  CHECK(bench.rig().body == BodyState::held);
  bench.take(shotlog::CommandLine{shotlog::Resume{"long"}});
  CHECK(bench.rig().body == BodyState::ready);
}

TEST_CASE("alarms stand until what they are of is over, the newest first") {
  Bench bench;
  bench.ledger().alarm(at(40s), "the shot log can't be written");
  bench.take(shotlog::BodyNews{"long", false, "the cable is off"});
  const Alarm disk{at(40s), "the shot log can't be written"};
  CHECK(bench.facts().alarms == std::vector<Alarm>{{at(50s), "long: the cable is off"}, disk});
  bench.take(shotlog::BodyNews{"long", true, {}});
  CHECK(bench.facts().alarms == std::vector<Alarm>{disk});
  bench.ledger().alarm_over();
  CHECK(bench.facts().alarms.empty());
}

TEST_CASE("the filter is as the last line about it says, on at first") {
  Bench bench;
  CHECK(bench.rig().filter == FilterState::on);
  bench.take(shotlog::FilterChange{"long", FilterState::off, true, {}});
  CHECK(bench.rig().filter == FilterState::off);
  CHECK(bench.rig().filter_confirmed);
}

TEST_CASE("the step going on, the next frame, hands-on spans and the next contact follow the clock") {
  const Bench bench;
  CHECK(bench.rig(10s).hands == "aim again");
  CHECK(bench.rig(20s).hands == "");
  CHECK(bench.rig(50s).step == "");
  CHECK(bench.rig(50s).next_step == "crescent");
  CHECK(bench.rig(50s).next_due == at(100s));
  CHECK(bench.rig(101s).step == "crescent");
  CHECK(bench.rig(101s).next_due == at(200s));
  CHECK(bench.rig(201s).next_due == at(300s));
  CHECK(bench.rig(310s).step == "corona");
  CHECK(bench.rig(310s).back_to_back);
  CHECK(bench.rig(310s).next_due == at(310s));
  CHECK_FALSE(bench.rig(320s).next_due.has_value());
  CHECK(bench.facts(50s).next_contact->name == contacts::ContactName::c2);
  CHECK(bench.facts(299s).next_contact->name == contacts::ContactName::c3);
  CHECK_FALSE(bench.facts(330s).next_contact.has_value());
}

TEST_CASE("the clock is that of the last line") {
  Bench bench;
  bench.frame(1, order::Outcome::fired);
  CHECK(bench.facts().clock == shotlog::ClockState{shotlog::ClockGrade::b, 40ms});
  CHECK(bench.facts().mode == shotlog::Mode::dress);
}

TEST_CASE("a step left out for want of totality stays on the screen as an alarm") {
  for (const auto kind : {contacts::Kind::partial, contacts::Kind::total}) {
    StatusLedger ledger{plan_under(kind), shotlog::Mode::event};
    ledger.take(
        {1,
         at(50s),
         {},
         shotlog::Skip{{"long", "corona", 0, 0}, {}, shotlog::SkipReason::not_here, "there is no C2"}});
    std::vector<Alarm> expected;
    if (kind == contacts::Kind::partial) expected = {{at(50s), "long: corona is left out: there is no C2"}};
    CHECK(ledger.facts(at(60s)).alarms == expected);
  }
}

TEST_CASE("a filter called back on late is the first alarm") {
  Bench bench;
  bench.take(shotlog::CueLine{.words = "Camera filter back on, long.",
                              .ends = at(50s),
                              .filter = shotlog::FilterCue{"long", FilterState::on, true}});
  bench.ledger().alarm(at(60s), "the shot log can't be written");
  REQUIRE(bench.facts().alarms.size() == 2);
  CHECK(bench.facts().alarms[0] == Alarm{at(50s), "long: the camera filter must go back on NOW"});
  bench.take(shotlog::FilterChange{"long", FilterState::on, true, {}});
  CHECK(bench.facts().alarms.size() == 1);
}

TEST_CASE("a lane has the exposure whose time has come, the trim, and how late the last frame opened") {
  Bench bench;
  const exposure::Exposure slow{{1, 60}, exposure::FNumber{80}, {400}};
  bench.take(shotlog::Intent{{"long", "crescent", 1, 1}, 1, at(100s), at(102s), run::quick});
  bench.take(shotlog::Intent{{"long", "crescent", 2, 1}, 2, at(200s), at(202s), slow});
  CHECK_FALSE(bench.rig(50s).exposure);
  CHECK(bench.rig(100s).exposure == run::quick);
  CHECK(bench.rig(200s).exposure == slow);
  CHECK_FALSE(bench.rig(200s).late);
  bench.take(shotlog::FrameOutcome{
      {"long", "crescent", 1, 1}, order::Outcome::fired, at(100s), at(100s) + 9ms, run::quick, {}, {}});
  CHECK(bench.rig(200s).late == 9ms);
  bench.take(shotlog::CommandLine{shotlog::Trim{"long", -1}});
  CHECK(bench.rig(200s).trim == -1);
  CHECK(bench.rig(50s).next_exposures == std::vector<exposure::Exposure>{run::quick});
}

TEST_CASE("what is next, what was last and when hands are needed follow the clock") {
  auto timeline = plan_under(contacts::Kind::total);
  using noonfall::timeline::CueKind;
  timeline.cues = {{at(40s), "One minute", CueKind::spoken, 0},
                   {at(60s), "Camera filter off, long.", CueKind::filter_off, 0}};
  for (const auto mode : {shotlog::Mode::event, shotlog::Mode::dress}) {
    shotlog::Account before;
    before.clock = {shotlog::ClockGrade::a, {}};
    StatusLedger ledger{timeline, mode, before};
    const bool event = mode == shotlog::Mode::event;
    CHECK(ledger.facts(at(0s)).next == Call{at(10s), "aim again at long"});
    CHECK(ledger.facts(at(0s)).hands == Call{at(10s), "aim again at long"});
    CHECK(ledger.facts(at(15s)).next == Call{at(40s), "One minute"});
    CHECK(ledger.facts(at(15s)).hands == Call{at(10s), "aim again at long"});
    // In a rehearsal nobody is told to take a filter off.
    const auto filter = event ? Call{at(60s), "Camera filter off, long."}
                              : Call{at(60s), "Rehearsal, keep the camera filter on, long."};
    CHECK(ledger.facts(at(40s)).next == filter);
    CHECK(ledger.facts(at(40s)).hands == (event ? std::optional{filter} : std::nullopt));
    CHECK_FALSE(ledger.facts(at(60s)).next);
    CHECK_FALSE(ledger.facts(at(60s)).last);
    ledger.take({1, at(40s), {}, shotlog::CueLine{.words = "One minute", .ends = at(40s), .printed = true}});
    ledger.take(
        {2, at(50s), {}, shotlog::CueLine{.words = "Halfway", .ends = at(50s), .why = "not in time"}});
    CHECK(ledger.facts(at(60s)).last == Call{at(40s), "One minute"});
  }
}

TEST_CASE("in totality the next contact is the third, and the time that is over is told") {
  auto timeline = plan_under(contacts::Kind::total);
  timeline.circumstances.contacts[2].emplace().utc = at(315s);
  const StatusLedger ledger{timeline, shotlog::Mode::event};
  CHECK(ledger.facts(at(298s)).next_contact == NamedInstant{contacts::ContactName::c2, at(299s)});
  CHECK_FALSE(ledger.facts(at(298s)).in_totality);
  CHECK(ledger.facts(at(300s)).next_contact == NamedInstant{contacts::ContactName::c3, at(330s)});
  CHECK(ledger.facts(at(300s)).in_totality == Totality{1s, 31s});
  CHECK_FALSE(ledger.facts(at(330s)).in_totality);
  CHECK(ledger.facts(at(0s)).contacts == std::vector<NamedInstant>{{contacts::ContactName::c2, at(299s)},
                                                                   {contacts::ContactName::mid, at(315s)},
                                                                   {contacts::ContactName::c3, at(330s)}});
}
