#include "daemon/clock/evidence.h"

#include <sys/timex.h>

#include <doctest/doctest.h>

#include <algorithm>

#include "tests/unit/clock/machine.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;
using tests::Machine;
using tests::noon;

const Utc built = noon - std::chrono::days{100};
const KernelClock kept_kernel{TIME_OK, STA_PLL, 1ms};

ChronyTracking measured_at(Utc when) {
  ChronyTracking tracking;
  tracking.reference_id = 0x50505300;
  tracking.stratum = 1;
  tracking.reference_time = when;
  tracking.root_dispersion_s = 0.003;
  tracking.update_interval_s = 16;
  return tracking;
}

std::vector<Source> speaking(const Evidence& evidence, const Machine& machine) {
  std::vector<Source> sources;
  for (const auto& reading : evidence.readings(machine.now().boot, built)) {
    if (reading) sources.push_back(reading->source);
  }
  return sources;
}

std::vector<std::string> silent(const Evidence& evidence, const Machine& machine) {
  std::vector<std::string> words;
  for (const auto& reading : evidence.readings(machine.now().boot, built)) {
    if (!reading && !reading.error().empty()) words.push_back(reading.error());
  }
  return words;
}

using Sources = std::vector<Source>;
using Words = std::vector<std::string>;

}  // namespace

TEST_CASE("before anybody has spoken there are only reasons") {
  CHECK(speaking({}, {}) == Sources{});
  CHECK(silent({}, {}) == Words{"chronyd does not answer", "gpsd does not answer"});
}

TEST_CASE("chronyd's word counts for 25 s, and the kernel is silent meanwhile") {
  Machine machine;
  Evidence evidence;
  evidence.chrony(measured_at(noon - 5s), machine.now());
  evidence.kernel(kept_kernel, machine.now().boot);
  CHECK(speaking(evidence, machine) == Sources{Source::chronyd});
  evidence.chrony_missed("chronyd does not run");
  machine.pass(25s);
  CHECK(speaking(evidence, machine) == Sources{Source::chronyd});
  machine.pass(1us);
  CHECK(speaking(evidence, machine) == Sources{Source::kernel});
  CHECK(silent(evidence, machine) == Words{"chronyd does not run", "gpsd does not answer"});
}

TEST_CASE("an unsynchronised chronyd silences the kernel too") {
  Machine machine;
  Evidence evidence;
  auto tracking = measured_at(noon);
  tracking.leap = 3;
  evidence.chrony(tracking, machine.now());
  evidence.kernel(kept_kernel, machine.now().boot);
  CHECK(speaking(evidence, machine) == Sources{});
  CHECK(silent(evidence, machine) == Words{"chronyd is not synchronised", "gpsd does not answer"});
}

TEST_CASE("after the clock was set chronyd must have measured anew") {
  Machine machine;
  Evidence evidence;
  evidence.chrony(measured_at(noon - 5s), machine.now());
  machine.step(1h);
  evidence.clock_disturbed();
  CHECK(speaking(evidence, machine) == Sources{});
  for (int i = 0; i < 6; ++i) {
    machine.pass(10s);
    evidence.chrony(measured_at(noon - 5s), machine.now());
    CHECK(silent(evidence, machine) ==
          Words{"chronyd has not measured since the clock was disturbed", "gpsd does not answer"});
  }
  machine.pass(10s);
  evidence.chrony(measured_at(machine.now().realtime - 1s), machine.now());
  CHECK(speaking(evidence, machine) == Sources{Source::chronyd});
}

// Linux keeps its figures over a sleep, and forgets them when the clock is set (from memory of ntp_clear()).
TEST_CASE("after the clock was disturbed the kernel is believed once its maximum error has dropped") {
  Machine machine;
  Evidence evidence;
  const Words untold{"chronyd does not answer",
                     "nobody has told the kernel the time since the clock was disturbed",
                     "gpsd does not answer"};
  auto kernel = kept_kernel;
  const auto look = [&] {
    machine.pass(1s);
    evidence.kernel(kernel, machine.now().boot);
  };
  look();
  CHECK(speaking(evidence, machine) == Sources{Source::kernel});
  machine.sleep(10min);
  evidence.clock_disturbed();
  CHECK(silent(evidence, machine) == untold);
  for (int i = 0; i < 5; ++i) {
    look();
    CHECK(silent(evidence, machine) == untold);
    kernel.max_error += 500us;
  }
  kernel.max_error = 1ms;
  look();
  CHECK(speaking(evidence, machine) == Sources{Source::kernel});
  kernel.max_error += 500us;
  look();
  CHECK(speaking(evidence, machine) == Sources{Source::kernel});
}

TEST_CASE("a slew takes the clock away from what chronyd and a person said of it") {
  Machine machine;
  Evidence evidence;
  evidence.chrony(measured_at(noon - 5s), machine.now());
  evidence.person(machine.now().boot);
  evidence.clock_slewed(-83ms);
  evidence.clock_slewed(-83ms);
  int speaking = 0;
  for (const auto& reading : evidence.readings(machine.now().boot, built)) {
    if (!reading) continue;
    CHECK(reading->error == -166ms);
    ++speaking;
  }
  CHECK(speaking == 2);
}

TEST_CASE("a person's word holds until the clock is set") {
  Machine machine;
  Evidence evidence;
  evidence.person(machine.now().boot);
  machine.pass(1h);
  CHECK(speaking(evidence, machine) == Sources{Source::person});
  evidence.clock_disturbed();
  CHECK(speaking(evidence, machine) == Sources{});
}

}  // namespace noonfall::clock
