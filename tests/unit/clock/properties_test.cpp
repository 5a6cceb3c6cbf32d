// What holds whatever happens to the system clock, and when.
#include <sys/timex.h>

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <utility>

#include "daemon/clock/plan_clock.h"
#include "tests/unit/clock/machine.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;
using tests::Machine;
using tests::noon;

enum class Event {
  nothing,
  step,
  sleep,
  slew,
  chronyd_measures,
  chronyd_repeats,
  chronyd_silent,
  pulse,
  kernel,
  person
};

Event any_event() {
  return *rc::gen::weightedElement<Event>({{60, Event::nothing},
                                           {3, Event::step},
                                           {1, Event::sleep},
                                           {1, Event::slew},
                                           {12, Event::chronyd_measures},
                                           {6, Event::chronyd_repeats},
                                           {2, Event::chronyd_silent},
                                           {12, Event::pulse},
                                           {2, Event::kernel},
                                           {1, Event::person}});
}

Duration any_step() {
  return *rc::gen::element<Duration>(1s, -1s, 1h, -1h, 100ms, -100ms);
}

/// Whether sources may tell something else than the truth.
enum class Word { any, honest };
/// chronyd by servers of the network, or by the one receiver that gpsd has too.
enum class Receivers { one, none };

/// A machine, its sources and the plan's clock, moved on by chance.
class Storm {
 public:
  explicit Storm(Word word = Word::any, Receivers receivers = Receivers::none)
      : word_{word}, stratum_{receivers == Receivers::one ? std::uint16_t{1} : std::uint16_t{3}} {}
  void go_on() {
    const auto event = any_event();
    machine_.pass(Duration{*rc::gen::inRange(1, 4'000'000)});
    happen(event);
    person_spoke_ = event == Event::person && (word_ == Word::any || std::chrono::abs(error()) <= 300ms);
    look();
    if (person_spoke_) (void)clock_.person_says_ok(machine_.now(), kernel_);
  }

  const ClockSample& now() const { return machine_.now(); }
  Utc truth() const { return machine_.truth(); }
  PlanClock& clock() { return clock_; }
  const CriticalSpan& critical() const { return critical_; }
  bool person_spoke() const { return person_spoke_; }
  /// Of the mapping, but for slews taken off it.
  int unvouched_changes() const { return unvouched_changes_; }
  /// When something last made the system clock doubtful.
  BootTime disturbed() const { return disturbed_; }

 private:
  void happen(Event event) {
    switch (event) {
      case Event::step:
        machine_.step(any_step());
        disturbed_ = machine_.now().boot;
        break;
      case Event::sleep:
        machine_.sleep(5min);
        disturbed_ = machine_.now().boot;
        break;
      case Event::slew:
        machine_.slew(1s, 50ms);
        break;
      case Event::chronyd_measures:
        measured_ = machine_.truth();
        [[fallthrough]];
      case Event::chronyd_repeats:
        chronyd_answers();
        break;
      case Event::chronyd_silent:
        clock_.evidence().chrony_missed("chronyd does not run");
        break;
      case Event::pulse:
        pulses();
        break;
      case Event::kernel:
        if (word_ == Word::any) kernel_.state = *rc::gen::element(TIME_OK, TIME_ERROR);
        break;
      case Event::nothing:
      case Event::person:
        break;
    }
  }

  Duration error() const { return machine_.now().realtime - machine_.truth(); }
  void look() {
    const auto& now = machine_.now();
    const auto before = clock_.mapping();
    (void)clock_.look(now, kernel_);
    const auto slewed = movement(std::exchange(looked_, now), now).slewed;
    const auto moved = clock_.mapping().utc_at(now.boot) - before.utc_at(now.boot);
    if (moved == 0us || moved == -slewed) return;
    if (clock_.state(now.boot).grade == shotlog::ClockGrade::f) ++unvouched_changes_;
  }

  /// When not honest, chronyd believes now and then in a clock that somebody else set.
  void chronyd_answers() {
    look();
    ChronyTracking tracking;
    tracking.stratum = stratum_;
    const bool misled = word_ == Word::any && *rc::gen::arbitrary<bool>();
    tracking.reference_time = misled ? measured_ + error() : measured_;
    tracking.correction_s = misled ? 0 : -in_seconds(error());
    tracking.root_dispersion_s = *rc::gen::element(0.003, 0.05, 0.3, 3.0);
    clock_.evidence().chrony(tracking, machine_.now());
  }

  void pulses() {
    auto error = this->error();
    if (word_ == Word::any) error = *rc::gen::element<Duration>(this->error(), 0s, 300ms, 1s, -2s);
    look();
    auto& receiver = clock_.evidence().gps();
    receiver.take(GpsdVersion{3}, machine_.now().boot, machine_.now().realtime);
    for (int i = 0; i < 20; ++i) {
      const auto& now = machine_.pass(500ms);
      receiver.take(GpsFix{3, now.realtime - error, {}}, now.boot, now.realtime);
      receiver.take(GpsOffset{GpsOffset::Of::pulse, now.realtime - error, now.realtime}, now.boot,
                    now.realtime);
    }
  }

  Word word_;
  std::uint16_t stratum_;
  Machine machine_;
  CriticalSpan critical_ = critical_span(noon + 400s, noon + 520s);
  PlanClock clock_{{{noon - std::chrono::days{100}, noon + 1h}, critical_, {}, {}}, machine_.now()};
  KernelClock kernel_{TIME_ERROR, 0, 1ms};
  Utc measured_ = noon;
  BootTime disturbed_ = machine_.now().boot;
  bool person_spoke_ = false;
  ClockSample looked_ = machine_.now();
  int unvouched_changes_ = 0;
};

constexpr int events = 400;

}  // namespace

TEST_CASE(
    "whatever happens, a clock that was once good keeps the oscillator's pace within the critical span") {
  const bool held = rc::check("fixed between C2 - 60 s and C3 + 60 s", [] {
    Storm storm;
    int inside = 0;
    bool was_good = false;
    for (int i = 0; i < events; ++i) {
      const auto before = storm.clock().mapping();
      const auto clocks = storm.now();
      was_good = was_good || storm.clock().state(storm.now().boot).grade != shotlog::ClockGrade::f;
      storm.go_on();
      const auto utc = before.utc_at(storm.now().boot);
      const bool critical = was_good && utc >= storm.critical().from && utc <= storm.critical().until;
      const auto moved = storm.clock().mapping().utc_at(storm.now().boot) - utc;
      if (critical) RC_ASSERT(moved == -movement(clocks, storm.now()).slewed);
      inside += critical ? 1 : 0;
    }
    RC_CLASSIFY(inside > 0, "met the span");
  });
  CHECK(held);
}

TEST_CASE("whatever happens, the plan's clock is as right as it says while its sources are honest") {
  const bool held = rc::check("within the bound of the truth", [] {
    Storm storm{Word::honest};
    int graded = 0;
    for (int i = 0; i < events; ++i) {
      storm.go_on();
      const auto boot = storm.now().boot;
      const auto state = storm.clock().state(boot);
      if (state.grade == shotlog::ClockGrade::f) continue;
      ++graded;
      RC_ASSERT(std::chrono::abs(storm.clock().mapping().utc_at(boot) - storm.truth()) <= state.bound);
    }
    RC_CLASSIFY(graded > events / 2, "graded for the most part");
  });
  CHECK(held);
}

TEST_CASE("whatever happens, the plan's time never goes back") {
  const bool held = rc::check("now(later) >= now(earlier)", [] {
    Storm storm;
    auto latest = storm.clock().now(storm.now().boot);
    for (int i = 0; i < events; ++i) {
      storm.go_on();
      const auto now = storm.clock().now(storm.now().boot);
      RC_ASSERT(now >= latest);
      RC_ASSERT(now >= storm.clock().mapping().utc_at(storm.now().boot));
      latest = now;
    }
  });
  CHECK(held);
}

TEST_CASE("whatever happens, no jump is taken but 30 s after the last disturbance or on a person's word") {
  const bool held = rc::check("an ungraded jump is never taken", [] {
    Storm storm;
    int jumps = 0;
    for (int i = 0; i < events; ++i) {
      const auto before = storm.clock().mapping();
      storm.go_on();
      const auto boot = storm.now().boot;
      const auto change = std::chrono::abs(storm.clock().mapping().utc_at(boot) - before.utc_at(boot));
      if (change <= largest_change_at_once) continue;
      ++jumps;
      RC_ASSERT(storm.person_spoke() || boot - storm.disturbed() >= 30s);
    }
    RC_CLASSIFY(jumps > 0, "took a jump");
  });
  CHECK(held);
}

TEST_CASE(
    "whatever the verdicts, a jump needs grade A or B at every look of the last 30 s, or a person's word") {
  const bool held = rc::check("good for 30 s", [] {
    Machine machine;
    auto last = machine.now();
    OffsetRule rule{{last.boot, last.realtime}, std::nullopt, std::nullopt};
    std::optional<BootTime> good_since;
    int jumps = 0;
    for (int i = 0; i < events; ++i) {
      machine.pass(Duration{*rc::gen::inRange(1, 4'000'000)});
      if (*rc::gen::inRange(0, 40) == 0) machine.step(any_step());
      const bool allowed = *rc::gen::inRange(0, 200) == 0;
      if (allowed) rule.allow_jump();
      const auto bound =
          *rc::gen::weightedElement<Duration>({{90, 20ms}, {20, 100ms}, {3, 101ms}, {1, 501ms}});
      const Judgement verdict{
          bound <= 500ms ? Standing::vouched : Standing::unknown, Source::chronyd, {}, {}, bound, {}};
      const auto moved = movement(std::exchange(last, machine.now()), machine.now());
      if (moved.disturbs() || bound > 100ms) good_since.reset();
      if (bound <= 100ms && !good_since) good_since = last.boot;
      const auto before = rule.mapping();
      (void)rule.advance(last, moved, verdict);
      if (std::chrono::abs(rule.mapping().utc_at(last.boot) - before.utc_at(last.boot)) <= 500ms) continue;
      ++jumps;
      RC_ASSERT(allowed || (good_since && last.boot - *good_since >= 30s));
    }
    RC_CLASSIFY(jumps > 0, "took a jump");
  });
  CHECK(held);
}

TEST_CASE("whatever one source says, nothing but a person moves the plan's clock over ten seconds away") {
  const bool held = rc::check("within 10 s of where a person last put it", [] {
    Storm storm{Word::any, Receivers::one};
    auto put = storm.clock().mapping();
    int tried = 0;
    for (int i = 0; i < events; ++i) {
      const auto before = storm.clock().mapping();
      const auto clocks = storm.now();
      storm.go_on();
      const auto slewed = movement(clocks, storm.now()).slewed;
      const auto boot = storm.now().boot;
      const auto moved = storm.clock().mapping().utc_at(boot) - before.utc_at(boot);
      if (storm.person_spoke()) put = storm.clock().mapping();
      if (moved == -slewed) put = {boot, put.utc_at(boot) - slewed};
      const auto away = std::chrono::abs(storm.clock().mapping().utc_at(boot) - put.utc_at(boot));
      RC_ASSERT(away <= 10s);
      tried += std::chrono::abs(storm.now().realtime - storm.clock().mapping().utc_at(boot)) > 10s ? 1 : 0;
    }
    RC_CLASSIFY(tried > 0, "was asked to go further");
  });
  CHECK(held);
}

TEST_CASE("whatever happens, no change at all is taken while nobody vouches") {
  const bool held = rc::check("a moved mapping is a vouched one, or slewed back", [] {
    Storm storm;
    for (int i = 0; i < events; ++i) storm.go_on();
    RC_ASSERT(storm.unvouched_changes() == 0);
  });
  CHECK(held);
}

}  // namespace noonfall::clock
