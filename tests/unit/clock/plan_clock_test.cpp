// Whole stories of a day, as the run is told them. The words are this project's own.
#include "daemon/clock/plan_clock.h"

#include <doctest/doctest.h>

#include <string>
#include <utility>
#include <vector>

#include "tests/unit/clock/day.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;
using shotlog::ClockGrade;
using shotlog::ClockState;
using tests::Day;
using tests::Machine;
using tests::noon;
using tests::setting;
using tests::unkept;

}  // namespace

TEST_CASE("a clock nobody vouches for stays at grade F, told by its words alone") {
  Day day;
  day.seconds(100);
  CHECK(day.told == "");
  CHECK(day.state() == ClockState{});
  CHECK(day.words() ==
        "F, nobody vouches for the clock: chronyd does not run, the kernel says that nobody keeps its clock, "
        "gpsd does not answer");
}

TEST_CASE("chronyd's word is told once, and again when its bound has doubled") {
  Day day;
  day.chronyd_bound = 3200us;
  day.seconds(100);
  CHECK(day.told == "A: chronyd: 3.2 ms\n");
  CHECK(day.state() == ClockState{ClockGrade::a, 3200us});
  CHECK(day.words() == "A, chronyd: 3.2 ms");
  day.chronyd_bound = 6400us;
  day.seconds(20);
  CHECK(day.told ==
        "A: chronyd: 3.2 ms\n"
        "A: chronyd: 6.4 ms\n");
}

TEST_CASE("when chronyd goes away its word is held over, and gets old") {
  Day day;
  day.chronyd_bound = 3200us;
  day.seconds(20);
  day.chronyd_bound.reset();
  day.told.clear();
  day.seconds(1800);
  const std::string nobody =
      "nobody vouches for the clock: chronyd does not run, the kernel says that nobody keeps its clock, gpsd "
      "does "
      "not answer\n";
  CHECK(day.told == "A: chronyd: 3.6 ms, held over for 1.000 s; " + nobody +
                        "A: chronyd: 3.6 ms, held over for 4 min 1 s; " + nobody +
                        "A: chronyd: 3.6 ms, held over for 12 min 1 s; " + nobody +
                        "B: chronyd: 3.6 ms, held over for 18 min 16 s; " + nobody);
  CHECK(day.state().grade == ClockGrade::b);
  CHECK(day.state().bound == 30200us);  // 3.2 ms and 15 ppm of the 1800 s since chronyd's last word
}

TEST_CASE("gpsd's pulse sets the plan's clock right and leaves the system clock alone") {
  Day day;
  day.gps(4s, 100);
  CHECK(day.told ==
        "F: the GPS pulse: 4.001 s; the system clock is 4.000 s behind the plan's\n"
        "A: the plan's clock was put 4.000 s back; the GPS pulse: 1.0 ms\n");
  CHECK(day.ahead() == -4s);
}

TEST_CASE("a receiver that lies moves the plan's clock by no hour, and the words say what to do") {
  const std::vector<std::pair<Duration, std::string>> lies{
      {1h, "1 h back"}, {-1h, "1 h forward"}, {10s + 1ms, "10.001 s back"}};
  for (const auto& [lie, shift] : lies) {
    Day day;
    day.gps(lie, 600);
    CHECK(day.ahead() == 0us);
    CHECK(day.state().grade == ClockGrade::f);
    CHECK(day.words() == "F, compare clocks, say \"clock ok\": " + shift +
                             ", says the GPS pulse alone; set the computer's clock first where it is wrong");
  }
}

TEST_CASE("a receiver that lies by ever more, a little at a time, gets no further than ten seconds") {
  for (const Duration step : {Duration{400ms}, Duration{9s}}) {
    Day day;
    Duration lie{};
    for (int i = 0; i < 30; ++i) day.gps(lie += step, 130);
    CHECK(day.ahead() < 0us);
    CHECK(day.ahead() >= -10s);
    CHECK(day.state().grade == ClockGrade::f);
  }
}

TEST_CASE("against a receiver that finds the computer's clock far off, clock ok waits until that was set") {
  Day day;
  day.gps(-1h, 100);
  CHECK(day.person_says_ok() ==
        "the GPS pulse finds the computer's clock 1 h behind: set that clock first, or switch off what is "
        "wrong");
  CHECK(day.ahead() == 0us);
  CHECK(day.state().grade == ClockGrade::f);
  day.machine.step(1h);
  day.gps(0s, 100);
  CHECK(day.ahead() == -1h);  // still the receiver alone
  CHECK(day.person_says_ok() == "");
  CHECK(day.ahead() == 0us);
  day.gps(0s, 2);
  CHECK(day.words() == "A, the GPS pulse: 1.0 ms");
}

TEST_CASE(
    "a receiver and chronyd by servers move the plan's clock any way: chronyd by a receiver is no second") {
  for (const auto stratum : {std::uint16_t{1}, std::uint16_t{3}}) {
    Day day;
    day.chronyd_stratum = stratum;
    day.machine.step(1h);
    day.chronyd_bound = 3ms;
    for (int i = 0; i < 200; ++i) {
      day.gps(0s, 1);
      if (i % 16 == 0) day.chronyd_measured = day.machine.now().realtime;
      if (i % 10 == 0) day.ask_chronyd();
    }
    CHECK(day.ahead() == (stratum == 1 ? Duration{-1h} : Duration{0}));
    CHECK(day.state().grade == (stratum == 1 ? ClockGrade::f : ClockGrade::a));
  }
}

TEST_CASE("where two once agreed, or a person, is where one alone begins anew") {
  Day day;
  day.machine.step(1h);
  day.look();
  REQUIRE(day.person_says_ok() == "");
  REQUIRE(day.ahead() == 0us);
  day.gps(4s, 100);
  CHECK(day.ahead() == -4s);
  day.gps(12s, 100);
  CHECK(day.ahead() == -4s);
}

TEST_CASE("after a sleep the kernel's old figure makes no grade") {
  Day day;
  day.kernel = {TIME_OK, STA_PLL, 10ms};
  day.seconds(20);
  CHECK(day.state().grade == ClockGrade::b);
  day.machine.sleep(10min);
  day.look();
  CHECK(day.state().grade == ClockGrade::f);
  for (int i = 0; i < 60; ++i) {
    day.kernel.max_error += 500us;
    day.seconds(1);
    CHECK(day.state().grade == ClockGrade::f);
  }
  day.kernel.max_error = 0us;
  day.seconds(1);
  CHECK(day.state().grade == ClockGrade::b);
}

TEST_CASE("clock ok gives grade C, which gets old") {
  Day day;
  day.seconds(5);
  CHECK(day.person_says_ok() == "");
  CHECK(day.told == "C: the operator vouches for the clock; the operator: 300 ms\n");
  CHECK(day.state() == ClockState{ClockGrade::c, 300ms});
  day.machine.pass(3h);
  day.look();
  CHECK(day.state().grade == ClockGrade::c);
  CHECK(day.state().bound == 462ms);  // 15 ppm of three hours
  day.machine.pass(1h);
  day.look();
  CHECK(day.state().grade == ClockGrade::f);
}

TEST_CASE("clock ok is not taken against a date that can't be") {
  Day day;
  day.machine.step(-72h);
  day.look();
  CHECK(day.person_says_ok() == "the clock says 2027-07-30, more than 36 h from the eclipse");
  CHECK(day.state() == ClockState{});
  CHECK(day.told.ends_with(
      "the operator's word on the clock is not taken: the clock says 2027-07-30, more than 36 h from the "
      "eclipse\n"));
}

TEST_CASE("after the plan's clock was put back its time stands still, never back") {
  Day day;
  day.seconds(10);
  const auto before = day.clock.now(day.machine.now().boot);
  day.machine.step(-1h);
  day.look();
  CHECK(day.person_says_ok() == "");
  day.machine.pass(1min);
  CHECK(day.clock.now(day.machine.now().boot) == before);
  CHECK(day.words() == "C, the operator: 300 ms; the plan's time stands still for 59 min");
  day.machine.pass(59min + 1s);
  CHECK(day.clock.now(day.machine.now().boot) == before + 1s);
}

TEST_CASE("a simulated clock is fixed, right and says so") {
  Machine machine;
  auto with = setting();
  with.simulated = ClockMapping{machine.now().boot, noon, 60};
  PlanClock clock{with, machine.now()};
  machine.step(1h);
  machine.pass(1s);
  CHECK_FALSE(clock.look(machine.now(), unkept));
  CHECK(clock.now(machine.now().boot) == noon + 60s);
  CHECK(clock.state(machine.now().boot) == ClockState{ClockGrade::a, 0us});
  CHECK(tests::graded_words(clock, machine.now().boot) == "A, a simulated clock at 60 x");
  with.simulated->speed = 1;
  CHECK(tests::graded_words(PlanClock{with, machine.now()}, machine.now().boot) == "A, a simulated clock");
}

}  // namespace noonfall::clock
