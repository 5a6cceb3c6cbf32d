// A daemon started again on the same boot, by the clock of its log.
#include "daemon/clock/plan_clock.h"

#include <doctest/doctest.h>

#include <functional>
#include <string>
#include <vector>

#include "tests/unit/clock/day.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;
using shotlog::ClockGrade;
using shotlog::ClockState;
using tests::Machine;
using tests::noon;
using tests::setting;
using tests::unkept;

}  // namespace

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
    with.kept = KeptClock{{then.boot, then.realtime}, {ClockGrade::a, 5ms}, then.boot, then};
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
  with.kept = KeptClock{{then.boot, then.realtime}, {ClockGrade::a, 5ms}, then.boot, then};
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

}  // namespace noonfall::clock
