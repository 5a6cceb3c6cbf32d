#include "daemon/clock/step_detector.h"

#include <sys/timerfd.h>

#include <cerrno>
#include <cstdint>
#include <ctime>

#include <unistd.h>

namespace noonfall::clock {

StepDetector::StepDetector(boost::asio::io_context& io, std::function<void()> on_set)
    : on_set_{std::move(on_set)}, timer_{io} {
  const int timer = timerfd_create(CLOCK_REALTIME, TFD_NONBLOCK | TFD_CLOEXEC);
  if (timer >= 0) timer_.assign(timer);
}

void StepDetector::start() {
  if (!timer_.is_open()) return;
  arm();
  wait();
}

void StepDetector::arm() {
  constexpr std::time_t decades = 30L * 365 * 86'400;
  itimerspec when{};
  timespec now{};
  clock_gettime(CLOCK_REALTIME, &now);
  when.it_value.tv_sec = now.tv_sec + decades;
  timerfd_settime(timer_.native_handle(), TFD_TIMER_ABSTIME | TFD_TIMER_CANCEL_ON_SET, &when, nullptr);
}

void StepDetector::wait() {
  timer_.async_wait(boost::asio::posix::stream_descriptor::wait_read,
                    [this](const boost::system::error_code& failed) {
                      if (failed) return;
                      std::uint64_t expirations = 0;
                      const auto got = ::read(timer_.native_handle(), &expirations, sizeof expirations);
                      const bool nothing_yet = got < 0 && errno == EAGAIN;
                      if (!nothing_yet) {
                        arm();
                        on_set_();
                      }
                      wait();
                    });
}

}  // namespace noonfall::clock
