// The rule is this project's own (docs/timing.md); no figure here is measured.
#include "daemon/clock/offset_rule.h"

#include <doctest/doctest.h>

#include "tests/unit/clock/machine.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;
using tests::Machine;
using tests::noon;

Judgement vouched(Source source, Duration bound, Duration error = {}) {
  return {Standing::vouched, source, error, {}, bound, "somebody: a bound"};
}
Judgement seconded(Source source, Duration bound) {
  auto verdict = vouched(source, bound);
  verdict.seconded = true;
  return verdict;
}
const Judgement chronyd = vouched(Source::chronyd, 3ms);
const Judgement unknown{Standing::unknown, {}, {}, {}, {}, "nobody"};
const Judgement bad{Standing::bad, {}, {}, {}, {}, "no"};

/// A rule and the machine it watches.
struct Watched {
  Machine machine;
  ClockSample last = machine.now();
  OffsetRule rule;

  explicit Watched(std::optional<CriticalSpan> critical = {})
      : rule{{machine.now().boot, machine.now().realtime}, std::nullopt, critical} {}

  /// What is told of it, joined.
  std::string look(const Judgement& verdict) {
    const auto moved = movement(std::exchange(last, machine.now()), machine.now());
    std::string words;
    for (const auto& more : rule.advance(machine.now(), moved, verdict)) words += more + "\n";
    return words;
  }
  void seconds(int count, const Judgement& verdict) {
    for (int i = 0; i < count; ++i) {
      machine.pass(1s);
      look(verdict);
    }
  }
  /// How far the plan's clock is ahead of the system's.
  Duration ahead() const { return rule.mapping().utc_at(machine.now().boot) - machine.now().realtime; }
};

}  // namespace

TEST_CASE("the plan's clock begins as the system's, vouched for by nobody") {
  Watched watched;
  watched.seconds(5, unknown);
  CHECK(watched.ahead() == 0us);
  CHECK_FALSE(watched.rule.vouched());
}

TEST_CASE("who vouches is remembered, with the bound of then") {
  Watched watched;
  watched.seconds(5, chronyd);
  REQUIRE(watched.rule.vouched());
  CHECK(watched.rule.vouched()->bound == 3ms);
  CHECK(watched.rule.vouched()->at == watched.machine.now().boot);
  const auto then = watched.machine.now().boot;
  watched.seconds(60, unknown);
  CHECK(watched.rule.vouched()->at == then);
}

TEST_CASE("a step nobody vouches for is told and not taken") {
  Watched watched;
  watched.seconds(5, chronyd);
  watched.machine.step(1003ms);
  CHECK(watched.look(unknown) ==
        "the system clock was set 1.003 s forward; not taken until somebody vouches for it\n");
  watched.seconds(3600, unknown);
  CHECK(watched.ahead() == -1003ms);
  CHECK(watched.rule.vouched()->bound == 3ms);
}

TEST_CASE("a small step is taken as soon as somebody vouches for it") {
  Watched watched;
  watched.seconds(5, chronyd);
  watched.machine.step(-500ms);
  watched.look(unknown);
  CHECK(watched.ahead() == 500ms);
  CHECK(watched.look(vouched(Source::kernel, 60ms)) == "the plan's clock was put 500 ms back\n");
  CHECK(watched.ahead() == 0us);
}

TEST_CASE("a jump over half a second is taken after grade A or B for 30 s") {
  for (const auto jump : {Duration{500ms + 1us}, Duration{-1h}}) {
    Watched watched;
    watched.seconds(5, chronyd);
    watched.machine.step(jump);
    watched.look(unknown);
    watched.seconds(30, seconded(Source::chronyd, 100ms));
    CHECK(watched.ahead() == -jump);
    watched.seconds(1, seconded(Source::chronyd, 100ms));
    CHECK(watched.ahead() == 0us);
  }
}

TEST_CASE("over ten seconds no instrument moves the plan's clock alone, at once or little by little") {
  for (const Duration jump : {Duration{10s}, Duration{10s + 1us}, Duration{-1h}}) {
    Watched watched;
    watched.seconds(5, chronyd);
    watched.machine.step(jump);
    watched.look(unknown);
    watched.seconds(3600, chronyd);
    CHECK(watched.ahead() == (jump == 10s ? Duration{0} : -jump));
    CHECK(watched.rule.wants_second() == (jump != 10s));
  }
  Watched watched;
  for (int i = 1; i <= 100; ++i) watched.seconds(1, vouched(Source::gps_pulse, 1ms, 400ms * i));
  CHECK(watched.ahead() == -10s);
  CHECK(watched.rule.vouched()->bound == 30s + 1ms);
}

TEST_CASE("where two agreed, or a person did, one instrument has its ten seconds anew") {
  for (const bool by_person : {false, true}) {
    Watched watched;
    watched.seconds(31, seconded(Source::chronyd, 3ms));
    watched.machine.step(9s);
    watched.seconds(32, chronyd);
    CHECK(watched.ahead() == 0us);
    if (by_person) watched.rule.allow_jump();
    watched.look(by_person ? chronyd : seconded(Source::chronyd, 3ms));
    watched.machine.step(9s);
    watched.seconds(32, chronyd);
    CHECK(watched.ahead() == 0us);
    watched.machine.step(9s);
    watched.seconds(3600, chronyd);
    CHECK(watched.ahead() == -9s);
  }
}

TEST_CASE("the 30 s begin anew with each step and each gap") {
  Watched watched;
  watched.seconds(5, chronyd);
  watched.machine.step(1h);
  watched.look(unknown);
  watched.seconds(30, chronyd);
  watched.seconds(1, unknown);
  watched.seconds(30, seconded(Source::chronyd, 3ms));
  watched.machine.step(2s);
  watched.look(unknown);
  watched.seconds(30, seconded(Source::chronyd, 3ms));
  CHECK(watched.ahead() == -1h - 2s);
  watched.seconds(1, seconded(Source::chronyd, 3ms));
  CHECK(watched.ahead() == 0us);
}

TEST_CASE("a source that changes its mind by more than half a second waits its 30 s too") {
  Watched watched;
  watched.seconds(100, vouched(Source::gps_pulse, 1ms));
  watched.seconds(30, vouched(Source::gps_pulse, 1ms, 2s));
  CHECK(watched.ahead() == 0us);
  watched.seconds(1, vouched(Source::gps_pulse, 1ms, 2s));
  CHECK(watched.ahead() == -2s);
}

TEST_CASE("at grade C a jump needs a person, whose word is for one look") {
  Watched watched;
  watched.machine.step(1h);
  const auto person = vouched(Source::person, 300ms);
  watched.look(unknown);
  watched.seconds(600, person);
  CHECK(watched.ahead() == -1h);
  watched.rule.allow_jump();
  CHECK(watched.look(person) == "the plan's clock was put 1 h forward\n");
  CHECK(watched.ahead() == 0us);
  watched.machine.step(1h);
  watched.look(person);
  CHECK(watched.ahead() == -1h);
}

TEST_CASE("a jump somebody vouches for but that isn't taken counts into the bound") {
  Watched watched;
  watched.seconds(5, chronyd);
  watched.machine.step(1s);
  watched.look(unknown);
  CHECK(watched.rule.vouched()->bound == 3ms);
  watched.seconds(1, chronyd);
  CHECK(watched.rule.vouched()->bound == 1003ms);
}

TEST_CASE("the pulse corrects a clock that nobody keeps, five milliseconds at a time") {
  Watched watched;
  watched.seconds(1, vouched(Source::gps_pulse, 1ms, 4999us));
  CHECK(watched.ahead() == 0us);
  CHECK(watched.rule.vouched()->bound == 5999us);
  watched.seconds(1, vouched(Source::gps_pulse, 1ms, 5ms));
  CHECK(watched.ahead() == -5ms);
  CHECK(watched.rule.vouched()->bound == 1ms);
}

TEST_CASE("within the critical span nothing moves the plan's clock, ends included") {
  const auto critical = critical_span(noon + 70s, noon + 130s);
  CHECK(critical.from == noon + 10s);
  CHECK(critical.until == noon + 190s);
  Watched watched{critical};
  watched.seconds(9, chronyd);
  watched.machine.pass(1s);
  watched.machine.step(400ms);
  CHECK(watched.look(unknown) ==
        "the system clock was set 400 ms forward; not taken between C2 - 60 s and C3 + 60 s\n");
  watched.rule.allow_jump();
  watched.seconds(180, chronyd);
  CHECK(watched.ahead() == -400ms);
  watched.seconds(1, chronyd);
  CHECK(watched.ahead() == 0us);
}

TEST_CASE("a jump from within the span is reconsidered after it") {
  Watched watched{critical_span(noon + 70s, noon + 130s)};
  watched.seconds(20, chronyd);
  watched.machine.step(-1h);
  watched.look(unknown);
  watched.seconds(170, seconded(Source::chronyd, 3ms));
  CHECK(watched.ahead() == 1h);
  watched.seconds(1, seconded(Source::chronyd, 3ms));
  CHECK(watched.ahead() == 0us);
}

TEST_CASE("who vouches less well than the holding over and agrees with it changes nothing") {
  Watched watched;
  watched.seconds(40, vouched(Source::gps_pulse, 1ms, 300ms));
  CHECK(watched.ahead() == -300ms);
  const Judgement serial{Standing::vouched, Source::gps_serial, {}, 150ms, 400ms, "somebody: a bound"};
  watched.seconds(40, serial);  // the system clock is 150 ms ahead, within 250 ms; the plan's says 300 ms
  CHECK(watched.ahead() == -300ms);
  CHECK(watched.rule.vouched()->bound == 1ms);
}

TEST_CASE("who vouches less well but disagrees is believed") {
  Watched watched;
  watched.seconds(5, chronyd);
  watched.seconds(1, {Standing::vouched, Source::chronyd, {}, 250ms, 253ms, "somebody: a bound"});
  CHECK(watched.rule.vouched()->bound == 253ms);
}

TEST_CASE("who speaks against the clock takes its grade away") {
  Watched watched;
  watched.seconds(5, chronyd);
  watched.seconds(1, bad);
  CHECK_FALSE(watched.rule.vouched());
  watched.seconds(5, unknown);
  CHECK_FALSE(watched.rule.vouched());
}

TEST_CASE("who finds the system clock wrong by its difference from the plan's vouches for the plan's") {
  Watched watched;
  watched.seconds(5, chronyd);
  watched.machine.step(1h);
  watched.look(unknown);
  const auto finds = [](Duration error) {
    return Judgement{Standing::bad, Source::chronyd, {}, error, error + 3ms, "wrong, says chronyd"};
  };
  watched.seconds(1, finds(1h - 10ms));
  REQUIRE(watched.rule.vouched());
  CHECK(watched.rule.vouched()->bound == 13ms);
  CHECK(watched.rule.vouched()->words == "chronyd: 13 ms");
  CHECK(watched.ahead() == -1h);
  watched.seconds(1, finds(1h + 300ms));
  REQUIRE(watched.rule.vouched());
  CHECK(watched.rule.vouched()->bound == 303ms);
  watched.seconds(1, finds(1h + 498ms));
  CHECK_FALSE(watched.rule.vouched());
}

TEST_CASE("a sleep leaves the clock a second unsure") {
  Watched watched;
  watched.seconds(5, chronyd);
  watched.machine.sleep(723s);
  CHECK(watched.look(unknown) ==
        "the computer slept for 12 min 3 s: its clock may be off by a second since\n");
  CHECK(watched.rule.vouched()->bound == aged(3ms, 723s) + 1s);
  CHECK(watched.ahead() == 0us);
}

TEST_CASE("a slew is told at its begin and end, and counts into the bound while nobody vouches") {
  Watched watched;
  watched.seconds(5, chronyd);
  watched.machine.slew(1s, 80ms);
  CHECK(watched.look(unknown) == "the system clock is being slewed\n");
  watched.machine.slew(1s, 20ms);
  CHECK(watched.look(unknown) == "");
  watched.machine.pass(1s);
  CHECK(watched.look(unknown) == "the system clock was slewed 100 ms forward\n");
  CHECK(watched.rule.vouched()->bound == 103ms);
  CHECK(watched.ahead() == 0us);
}

TEST_CASE("within the critical span a slew is taken off the mapping, ends included") {
  Watched watched{critical_span(noon + 70s, noon + 130s)};
  watched.seconds(8, chronyd);
  watched.machine.slew(1s, 80ms);
  watched.look(unknown);
  CHECK(watched.ahead() == 0us);
  CHECK(watched.rule.vouched()->bound == 83ms);
  watched.seconds(5, chronyd);
  watched.machine.slew(1s, 80ms);
  CHECK(watched.look(unknown) == "the system clock is being slewed, the plan's clock is not\n");
  CHECK(watched.ahead() == -80ms);
  CHECK(watched.rule.vouched()->bound == 3ms + 270us);  // 250 ppm of the boot clock's 1.08 s
}

}  // namespace noonfall::clock
