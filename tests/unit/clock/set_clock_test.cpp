// The system clock set or slewed, inside totality and outside, as the run is told of it.
#include "daemon/clock/plan_clock.h"

#include <doctest/doctest.h>

#include "tests/unit/clock/day.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;
using shotlog::ClockGrade;
using tests::Day;
using tests::unkept;

}  // namespace

TEST_CASE("a foreign step before totality is not believed, though chronyd hasn't noticed it") {
  Day day;
  day.chronyd_bound = 3ms;
  day.seconds(25);
  day.told.clear();
  day.machine.pass(1s);
  day.machine.step(1h);
  day.look();
  CHECK(day.told ==
        "A: the system clock was set 1 h forward; not taken until somebody vouches for it; chronyd: 3.1 ms, "
        "held over "
        "for 1.000 s; nobody vouches for the clock: chronyd has not measured since the clock was disturbed, "
        "gpsd does "
        "not answer; the system clock is 1 h ahead of the plan's\n");
  CHECK(day.ahead() == -1h);
  day.kernel = unkept;
  const auto chronyd_measured = day.chronyd_measured;
  for (int i = 0; i < 120; ++i) {
    day.chronyd_measured = chronyd_measured;
    day.machine.pass(1s);
    if (i % 10 == 0) day.ask_chronyd();
    day.look();
  }
  CHECK(day.ahead() == -1h);
  CHECK(day.state().grade == ClockGrade::a);
}

TEST_CASE("chronyd's own step is taken once it has measured and held for 30 s") {
  Day day;
  day.seconds(10);
  day.machine.step(-2s);
  day.chronyd_bound = 4ms;
  day.told.clear();
  day.seconds(60);
  CHECK(day.told ==
        "F: the system clock was set 2.000 s back; not taken until somebody vouches for it\n"
        "F: chronyd: 2.004 s; the system clock is 2.000 s behind the plan's\n"
        "A: the plan's clock was put 2.000 s back; chronyd: 4.2 ms\n");
  CHECK(day.ahead() == 0us);
}

TEST_CASE("inside totality a step is told, and the grade stays what it was") {
  for (const bool chronyd_runs_on : {false, true}) {
    Day day;
    day.chronyd_bound = 3ms;
    day.seconds(700);
    if (!chronyd_runs_on) day.chronyd_bound.reset();
    day.told.clear();
    day.machine.pass(1s);
    day.machine.step(-1h);
    day.system_error = -1h;
    day.look();
    day.seconds(200);
    const std::string then =
        chronyd_runs_on ? "A: chronyd: 3.0 ms; the system clock is 1 h behind the plan's\n" : "";
    CHECK(day.told ==
          "A: the system clock was set 1 h back; not taken between C2 - 60 s and C3 + 60 s; chronyd: 3.0 ms, "
          "held over for 1.000 s; nobody vouches for the clock: chronyd has not measured since the clock was "
          "disturbed, gpsd does not answer; the system clock is 1 h behind the plan's\n" +
              then);
    CHECK(day.ahead() == 1h);
    CHECK(day.state().grade == ClockGrade::a);
  }
}

TEST_CASE("a step that chronyd finds wrong takes nothing from the plan's clock, whatever date it shows") {
  for (const Duration step : {Duration{2s}, Duration{-2s}, Duration{72h}, Duration{-72h}}) {
    Day day;
    day.chronyd_bound = 3ms;
    day.seconds(25);
    day.machine.step(step);
    day.system_error = step;
    day.look();
    day.seconds(60);
    CHECK(day.ahead() == -step);
    CHECK(day.state().grade == ClockGrade::a);
    CHECK(day.told.find("F: ") == std::string::npos);
  }
}

TEST_CASE("inside totality a slew at the fastest pace of chronyd doesn't reach the plan's clock") {
  for (const bool chronyd_runs_on : {false, true}) {
    for (const Duration slew : {Duration{-83'333us}, Duration{83'333us}}) {
      Day day;
      day.chronyd_bound = 3ms;
      day.seconds(700);
      if (!chronyd_runs_on) day.chronyd_bound.reset();
      day.told.clear();
      day.seconds(60, slew);
      CHECK(day.told.find("A: the system clock is being slewed, the plan's clock is not; chronyd: 3.") == 0);
      CHECK(std::chrono::abs(day.system_error) > 4900ms);
      CHECK(day.clock.now(day.machine.now().boot) == day.machine.truth());
      CHECK(day.state().grade == ClockGrade::a);
      const Duration frequency = 16ms;  // at most 250 ppm of a minute were the clock's own correction
      CHECK(day.state().bound <= (chronyd_runs_on ? 4ms : 4ms + frequency));
      day.seconds(50);
      CHECK(day.clock.now(day.machine.now().boot) == day.machine.truth());
    }
  }
}

TEST_CASE("inside totality each slewed second gives a mapping of its own, for the workers to follow") {
  Day day;
  day.chronyd_bound = 3ms;
  day.seconds(700);
  const auto before = day.clock.mapping();
  for (int i = 0; i < 5; ++i) {
    day.machine.slew(1s, 50ms);
    CHECK(day.clock.look(day.machine.now(), day.kernel));
  }
  CHECK(day.clock.mapping().utc_at(day.machine.now().boot) == before.utc_at(day.machine.now().boot) - 250ms);
}

TEST_CASE("inside totality a plain frequency correction changes no mapping") {
  Day day;
  day.chronyd_bound = 3ms;
  day.seconds(700);
  const auto before = day.clock.mapping();
  day.told.clear();
  for (int i = 0; i < 200; ++i) {
    day.system_error -= 250us;  // it was what kept the clock right
    day.seconds(1, 250us);
  }
  CHECK(day.clock.mapping() == before);
  CHECK(day.told == "");
}

TEST_CASE("a clock that chronyd finds wrong as the plan's is loses its grade") {
  Day day;
  day.chronyd_bound = 3ms;
  day.seconds(25);
  day.system_error = 2s;
  day.seconds(10);
  CHECK(day.state().grade == ClockGrade::f);
  CHECK(day.told == "A: chronyd: 3.0 ms\nF: the clock is wrong, says chronyd: 2.003 s\n");
}

TEST_CASE("clock ok takes a jump at once, but not inside totality") {
  Day day;
  day.machine.step(1h);
  day.look();
  day.told.clear();
  CHECK(day.person_says_ok() == "");
  CHECK(
      day.told ==
      "C: the operator vouches for the clock; the plan's clock was put 1 h forward; the operator: 300 ms\n");
  CHECK(day.ahead() == 0us);

  Day later;
  later.chronyd_bound = 3ms;
  later.seconds(700);
  later.chronyd_bound.reset();
  later.machine.step(1h);
  later.told.clear();
  CHECK(later.person_says_ok() == "the plan's clock would jump 1 h forward between C2 - 60 s and C3 + 60 s");
  CHECK(later.told ==
        "A: the system clock was set 1 h forward; not taken between C2 - 60 s and C3 + 60 s; chronyd: 3.0 "
        "ms, held over for under 0.1 ms; nobody vouches for the clock: chronyd has not measured since the "
        "clock was disturbed, gpsd does not answer; the system clock is 1 h ahead of the plan's; the "
        "operator's word on the clock is not taken: the plan's clock would jump 1 h forward between C2 - 60 "
        "s and C3 + 60 s\n");
  CHECK(later.ahead() == -1h);
}

TEST_CASE("a clock nobody ever vouched for is put right inside what it takes for totality") {
  for (const bool by_person : {false, true}) {
    Day day;
    day.seconds(600);
    REQUIRE(day.state().grade == ClockGrade::f);
    const Duration wrong = by_person ? 700s : 8s;
    day.machine.step(-wrong);  // by chronyd, or by hand: totality is still to come
    day.look();
    if (by_person) CHECK(day.person_says_ok() == "");
    if (!by_person) day.chronyd_bound = 3ms;
    day.seconds(by_person ? 0 : 60);
    CHECK(day.ahead() == 0us);
    CHECK(day.state().grade == (by_person ? ClockGrade::c : ClockGrade::a));
  }
}

}  // namespace noonfall::clock
