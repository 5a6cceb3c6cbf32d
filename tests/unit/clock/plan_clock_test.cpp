// Whole stories of a day, as the run is told them. The words are this project's own.
#include "daemon/clock/plan_clock.h"

#include <sys/timex.h>

#include <doctest/doctest.h>

#include <functional>
#include <vector>

#include "tests/unit/clock/machine.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;
using shotlog::ClockGrade;
using shotlog::ClockState;
using tests::Machine;
using tests::noon;

const KernelClock unkept{TIME_ERROR, STA_UNSYNC, 16s};

ClockSetting setting() {
  return {{noon - std::chrono::days{100}, noon + 1h}, critical_span(noon + 600s, noon + 900s), {}, {}};
}

/// A day at one machine; what the run is told piles up in `told`.
struct Day {
  Machine machine;
  PlanClock clock;
  KernelClock kernel = unkept;
  std::string told;                       // a line for each
  std::optional<Duration> chronyd_bound;  // chronyd runs while set, and measures every 16 s
  Utc chronyd_measured = noon;
  Duration system_error{};  // as chronyd finds it

  explicit Day(const ClockSetting& with = setting()) : clock{with, machine.now()} {}

  void keep(const std::optional<run::ClockChange>& change) {
    if (change) told += std::string{shotlog::to_char(change->state.grade)} + ": " + change->why + "\n";
  }
  void look() { keep(clock.look(machine.now(), kernel)); }
  void ask_chronyd() {
    if (!chronyd_bound) return clock.evidence().chrony_missed("chronyd does not run");
    ChronyTracking tracking;
    tracking.reference_id = 0x50505300;
    tracking.stratum = 1;
    tracking.reference_time = chronyd_measured;
    tracking.correction_s = -in_seconds(system_error);
    tracking.root_dispersion_s = in_seconds(*chronyd_bound);
    tracking.update_interval_s = 16;
    clock.evidence().chrony(tracking, machine.now());
  }
  void seconds(int count, Duration slewed_each = {}) {
    for (int i = 0; i < count; ++i) {
      machine.slew(1s, slewed_each);
      system_error += slewed_each;
      const auto second = machine.now().boot.time_since_epoch() / 1s;
      if (chronyd_bound && second % 16 == 0) chronyd_measured = machine.now().realtime - system_error;
      look();
      if (second % 10 != 0) continue;
      ask_chronyd();
      look();
    }
  }
  void gps(Duration error, int count) {
    clock.evidence().gps().take(GpsdVersion{3}, machine.now().boot, machine.now().realtime);
    for (int i = 0; i < count; ++i) {
      const auto& now = machine.pass(1s);
      auto& receiver = clock.evidence().gps();
      receiver.take(GpsFix{3, now.realtime - error, {}}, now.boot, now.realtime);
      receiver.take(GpsOffset{GpsOffset::Of::pulse, now.realtime - error, now.realtime, 1us}, now.boot,
                    now.realtime);
      look();
    }
  }
  Duration ahead() { return clock.mapping().utc_at(machine.now().boot) - machine.now().realtime; }
  /// Why the person's word wasn't taken.
  std::string person_says_ok() {
    const auto heard = clock.person_says_ok(machine.now(), kernel);
    keep(heard.change);
    return heard.why_not;
  }
  ClockState state() { return clock.state(machine.now().boot); }
  std::string words() { return clock.words(machine.now().boot); }
};

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

TEST_CASE("gpsd's pulse sets the plan's clock right and leaves the system clock alone") {
  Day day;
  day.gps(40s, 100);
  CHECK(day.told ==
        "F: the GPS pulse: 40.001 s; the system clock is 40.000 s behind the plan's\n"
        "A: the plan's clock was put 40.000 s back; the GPS pulse: 1.0 ms\n");
  CHECK(day.ahead() == -40s);
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

TEST_CASE("a clock nobody ever vouched for is put right inside what it takes for totality") {
  for (const bool by_person : {false, true}) {
    Day day;
    day.seconds(600);
    REQUIRE(day.state().grade == ClockGrade::f);
    day.machine.step(-700s);  // by chronyd, or by hand: totality is still to come
    day.look();
    if (by_person) CHECK(day.person_says_ok() == "");
    if (!by_person) day.chronyd_bound = 3ms;
    day.seconds(by_person ? 0 : 60);
    CHECK(day.ahead() == 0us);
    CHECK(day.state().grade == (by_person ? ClockGrade::c : ClockGrade::a));
  }
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

TEST_CASE("a restarted daemon goes on by the clock of its log") {
  Machine machine;
  auto with = setting();
  with.kept = KeptClock{
      {machine.now().boot - 100s, noon - 100s + 2s}, {ClockGrade::a, 5ms}, machine.now().boot - 100s};
  PlanClock clock{with, machine.now()};
  CHECK(clock.mapping() == with.kept->mapping);
  CHECK(clock.now(machine.now().boot) == noon + 2s);
  CHECK(clock.state(machine.now().boot) == ClockState{ClockGrade::a, 6500us});  // 15 ppm of 100 s
}

TEST_CASE("what the clocks did while no daemon ran counts at the next one's start, and is told") {
  struct Meanwhile {
    std::function<void(Machine&)> what;
    std::string told;
    Duration bound;  // beyond 5 ms and 15 ppm of the time
    Duration age;
  };
  const std::vector<Meanwhile> stories{
      {[](Machine& m) { m.pass(100s); }, "", 0s, 100s},
      {[](Machine& m) { m.sleep(100s); },
       "the computer slept for 1 min 40 s: its clock may be off by a second since", 1s, 100s},
      {[](Machine& m) { m.pass(100s), m.step(-1h); },
       "the system clock was set 1 h back; not taken until somebody vouches for it", 0s, 100s},
      {[](Machine& m) { m.slew(99s, 1s); }, "the system clock is being slewed", 1s, 100s}};
  for (const auto& story : stories) {
    Machine machine;
    const auto then = machine.now();
    auto with = setting();
    with.kept = KeptClock{{then.boot, then.realtime},
                          {ClockGrade::a, 5ms},
                          then.boot,
                          shotlog::ClockReadings{then.boot, then.realtime, then.monotonic, then.raw}};
    story.what(machine);
    PlanClock clock{with, machine.now()};
    CHECK(clock.mapping() == with.kept->mapping);
    CHECK(clock.state(machine.now().boot) == state_of(aged(5ms, story.age) + story.bound));
    const auto change = clock.look(machine.now(), unkept);
    CHECK((change ? change->why : "").find(story.told) == 0);
    CHECK(change.has_value() == !story.told.empty());
    CHECK(clock.state(machine.now().boot) == state_of(aged(5ms, story.age) + story.bound));
  }
}

TEST_CASE("a slew while no daemon ran, inside totality, is taken off the plan's clock") {
  Machine machine;
  machine.pass(700s);
  const auto then = machine.now();
  auto with = setting();
  with.kept = KeptClock{{then.boot, then.realtime},
                        {ClockGrade::a, 5ms},
                        then.boot,
                        shotlog::ClockReadings{then.boot, then.realtime, then.monotonic, then.raw}};
  machine.slew(10s, -800ms);
  PlanClock clock{with, machine.now()};
  CHECK(clock.now(machine.now().boot) == machine.truth());
  const auto change = clock.look(machine.now(), unkept);
  REQUIRE(change);
  CHECK(change->why.find("the system clock is being slewed, the plan's clock is not") == 0);
}

TEST_CASE("a daemon restarted while the plan's time stands still lets it stand on") {
  Machine machine;
  auto with = setting();
  with.kept = KeptClock{{machine.now().boot, noon}, {ClockGrade::a, 5ms}, machine.now().boot + 10min};
  PlanClock clock{with, machine.now()};
  CHECK(clock.now(machine.now().boot) == noon + 10min);
  CHECK(clock.state(machine.now().boot) == ClockState{ClockGrade::a, 5ms});
  machine.pass(11min);
  CHECK(clock.now(machine.now().boot) == noon + 11min);
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
  CHECK(clock.words(machine.now().boot) == "A, a simulated clock at 60 x");
  with.simulated->speed = 1;
  CHECK(PlanClock{with, machine.now()}.words(machine.now().boot) == "A, a simulated clock");
}

}  // namespace noonfall::clock
