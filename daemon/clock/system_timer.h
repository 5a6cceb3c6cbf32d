// Wakes a loop at an instant of one of the system's clocks: the boot clock, which nobody can set and which
// goes on while the machine sleeps; or whenever the real-time clock is set.
#pragma once

#include <functional>

#include <boost/asio/io_context.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>

#include "lib/time/boot_clock.h"

namespace noonfall::clock {

/// A timerfd. `rang` is called from the loop. Nobody may run the loop any more once this is gone.
class SystemTimer {
 public:
  enum class Of { boot_time, settings_of_real_time };
  SystemTimer(boost::asio::io_context& io, Of of, std::function<void()> rang);

  /// False where the system had no timer left: then nothing ever rings.
  [[nodiscard]] bool is_open() const { return timer_.is_open(); }
  /// Of the settings of real time every one rings from here on, of the boot time the instant set.
  void start();
  /// At the instant, or right away when it has passed; once for each setting.
  void set(BootTime when);
  void clear();

 private:
  void arm(long seconds, long nanoseconds, int flags);
  void await_setting();
  void wait();

  Of of_;
  std::function<void()> rang_;
  boost::asio::posix::stream_descriptor timer_;
};

}  // namespace noonfall::clock
