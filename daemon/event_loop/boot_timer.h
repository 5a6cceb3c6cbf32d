// Wakes the loop at an instant of the boot clock, which no setting of the system clock moves and which goes
// on while the machine sleeps.
#pragma once

#include <functional>

#include <utility>

#include <boost/asio/io_context.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>

#include "lib/time/boot_clock.h"

namespace noonfall::event_loop {

/// A CLOCK_BOOTTIME timerfd. `due` is called from the loop, at the instant or right away when it has passed,
/// once for each setting. Nobody may run the loop any more once this is gone.
class BootTimer {
 public:
  BootTimer(boost::asio::io_context& io, std::function<void()> due);

  void start();
  void set(BootTime when);
  void clear();

 private:
  void wait();

  std::function<void()> due_;
  boost::asio::posix::stream_descriptor timer_;
};

}  // namespace noonfall::event_loop
