// Tells at once when somebody sets the system clock.
#pragma once

#include <functional>
#include <utility>

#include <boost/asio/io_context.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>

namespace noonfall::clock {

/// A CLOCK_REALTIME timer far in the future that the kernel cancels when the clock is set (timerfd_create(2),
/// TFD_TIMER_CANCEL_ON_SET); also after a sleep of the machine. Slewing isn't told. Where there is no such
/// timer it never tells anything. Nobody may run the io_context any more once this is gone.
class StepDetector {
 public:
  StepDetector(boost::asio::io_context& io, std::function<void()> on_set);

  void start();

 private:
  void arm();
  void wait();

  std::function<void()> on_set_;
  boost::asio::posix::stream_descriptor timer_;
};

}  // namespace noonfall::clock
