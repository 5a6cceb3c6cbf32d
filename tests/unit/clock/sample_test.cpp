// What slews, steps and sleeps do to Linux's clocks: clock_getres(2), CLOCK_BOOTTIME and CLOCK_MONOTONIC_RAW.
#include "daemon/clock/sample.h"
#include "daemon/posix/boot_time.h"

#include <doctest/doctest.h>

#include "daemon/clock/read_clocks.h"
#include "tests/unit/clock/machine.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;
using tests::Machine;

TEST_CASE("a step shows between realtime and boot time alone") {
  Machine machine;
  const auto before = machine.now();
  machine.pass(1s);
  CHECK(movement(before, machine.step(-1h)) == Movement{.stepped = -1h, .slept = {}, .slewed = {}});
}

TEST_CASE("a sleep shows between boot time and monotonic alone") {
  Machine machine;
  const auto before = machine.now();
  machine.pass(1s);
  CHECK(movement(before, machine.sleep(12min)) == Movement{.stepped = {}, .slept = 12min, .slewed = {}});
}

TEST_CASE("a slew shows between monotonic and the raw oscillator alone") {
  Machine machine;
  const auto before = machine.now();
  CHECK(movement(before, machine.slew(1s, 500us)) == Movement{.stepped = {}, .slept = {}, .slewed = 500us});
}

TEST_CASE("the frequency correction of a healthy clock and the noise of reading are no movement") {
  Machine machine;
  const auto before = machine.now();
  machine.slew(1s, 60us);
  CHECK(movement(before, machine.step(20us)) == Movement{});
}

TEST_CASE("a step counts from five milliseconds on") {
  for (const auto sign : {1, -1}) {
    Machine machine;
    const auto before = machine.now();
    CHECK_FALSE(movement(before, machine.step(sign * 4999us)).disturbs());
    CHECK(movement(before, machine.step(sign * 1us)).disturbs());
  }
}

TEST_CASE("the machine's clocks are read together and go on together") {
  const auto before = read_clocks();
  const auto now = read_clocks();
  CHECK(now.boot >= before.boot);
  CHECK(now.monotonic >= before.monotonic);
  CHECK(now.raw >= before.raw);
  CHECK(now.boot.time_since_epoch() >= before.monotonic);  // BOOTTIME is MONOTONIC and the sleeps
  CHECK(posix::boot_now() >= now.boot);
}

TEST_CASE("the boot has a name, the same each time it is asked") {
  CHECK(boot_id().size() == 36);  // a UUID (RFC 4122), random(4)
  CHECK(boot_id() == boot_id());
}

}  // namespace
}  // namespace noonfall::clock
