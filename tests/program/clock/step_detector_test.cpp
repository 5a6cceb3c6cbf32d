// timerfd_create(2): TFD_TIMER_CANCEL_ON_SET. The machine's clock can't be set here, so what is under test is
// that nothing is told while it isn't.
#include "daemon/clock/step_detector.h"

#include <doctest/doctest.h>

namespace noonfall::clock {

TEST_CASE("while nobody sets the clock, the step detector waits and tells nothing") {
  boost::asio::io_context io;
  int told = 0;
  StepDetector steps{io, [&] { ++told; }};
  steps.start();
  io.run_for(std::chrono::milliseconds{20});
  CHECK_FALSE(io.stopped());  // it is waiting
  CHECK(told == 0);
}

}  // namespace noonfall::clock
