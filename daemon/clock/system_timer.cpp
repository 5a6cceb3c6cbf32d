#include "daemon/clock/system_timer.h"

#include <sys/timerfd.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdint>
#include <ctime>
#include <utility>

namespace noonfall::clock {

SystemTimer::SystemTimer(boost::asio::io_context& io, Of of, std::function<void()> rang)
    : of_{of}, rang_{std::move(rang)}, timer_{io} {
  const int clock = of == Of::boot_time ? CLOCK_BOOTTIME : CLOCK_REALTIME;
  const int timer = ::timerfd_create(clock, TFD_NONBLOCK | TFD_CLOEXEC);
  if (timer >= 0) timer_.assign(timer);
}

void SystemTimer::start() {
  if (!is_open()) return;
  if (of_ == Of::settings_of_real_time) await_setting();
  wait();
}

void SystemTimer::set(BootTime when) {
  // All zeros would switch the timer off.
  const auto us = std::max<std::int64_t>(when.time_since_epoch().count(), 1);
  arm(us / 1'000'000, us % 1'000'000 * 1'000, TFD_TIMER_ABSTIME);
}

void SystemTimer::clear() {
  arm(0, 0, 0);
}

/// An instant decades ahead: reading it fails at each setting before (timerfd_create(2)).
void SystemTimer::await_setting() {
  constexpr long decades = 30L * 365 * 86'400;
  arm(std::time(nullptr) + decades, 0, TFD_TIMER_ABSTIME | TFD_TIMER_CANCEL_ON_SET);
}

void SystemTimer::arm(long seconds, long nanoseconds, int flags) {
  itimerspec when{};
  when.it_value = {seconds, nanoseconds};
  if (is_open()) ::timerfd_settime(timer_.native_handle(), flags, &when, nullptr);
}

void SystemTimer::wait() {
  timer_.async_wait(boost::asio::posix::stream_descriptor::wait_read,
                    [this](const boost::system::error_code& failed) {
                      if (failed) return;
                      std::uint64_t times = 0;
                      const auto got = ::read(timer_.native_handle(), &times, sizeof times);
                      const bool nothing_yet = got < 0 && errno == EAGAIN;
                      if (!nothing_yet && of_ == Of::settings_of_real_time) await_setting();
                      wait();
                      if (!nothing_yet) rang_();
                    });
}

}  // namespace noonfall::clock
