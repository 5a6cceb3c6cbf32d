// timerfd_create(2). The machine's clock can't be set here, so what is under test of TFD_TIMER_CANCEL_ON_SET
// is that nothing rings while it isn't.
#include "daemon/clock/system_timer.h"

#include <doctest/doctest.h>

#include "daemon/posix/boot_time.h"
#include "tests/program/clock/fakes.h"

namespace noonfall::clock {

using namespace std::chrono_literals;

TEST_CASE("while nobody sets the clock, nothing rings and the timer waits on") {
  boost::asio::io_context io;
  int rung = 0;
  SystemTimer timer{io, SystemTimer::Of::settings_of_real_time, [&] { ++rung; }};
  REQUIRE(timer.is_open());
  timer.start();
  io.run_for(20ms);
  CHECK_FALSE(io.stopped());
  CHECK(rung == 0);
}

TEST_CASE("an instant of the boot time rings once, never early, and at once when it has passed") {
  boost::asio::io_context io;
  std::vector<BootTime> rung;
  SystemTimer timer{io, SystemTimer::Of::boot_time, [&] { rung.push_back(posix::boot_now()); }};
  timer.start();
  const auto when = posix::boot_now() + 5ms;
  timer.set(when);
  REQUIRE(tests::runs_until(io, [&] { return !rung.empty(); }));
  CHECK(rung.front() >= when);
  timer.set(BootTime{});
  REQUIRE(tests::runs_until(io, [&] { return rung.size() == 2; }));
  timer.set(posix::boot_now() + 1h);
  timer.clear();
  io.restart();
  io.run_for(5ms);
  CHECK(rung.size() == 2);
}

}  // namespace noonfall::clock
