#include "daemon/event_loop/boot_timer.h"

#include <algorithm>
#include <cerrno>
#include <cstdint>
#include <system_error>

#include <sys/timerfd.h>
#include <unistd.h>

namespace noonfall::event_loop {
namespace {

int make_timer() {
  const int fd = ::timerfd_create(CLOCK_BOOTTIME, TFD_NONBLOCK | TFD_CLOEXEC);
  if (fd < 0) throw std::system_error{errno, std::generic_category(), "timerfd_create"};
  return fd;
}

void arm(int fd, const itimerspec& when) {
  if (::timerfd_settime(fd, TFD_TIMER_ABSTIME, &when, nullptr) != 0)
    throw std::system_error{errno, std::generic_category(), "timerfd_settime"};
}

}  // namespace

BootTimer::BootTimer(boost::asio::io_context& io, std::function<void()> due)
    : due_{std::move(due)}, timer_{io, make_timer()} {}

void BootTimer::start() {
  wait();
}

void BootTimer::set(BootTime when) {
  // All zeros would switch the timer off.
  const auto us = std::max<std::int64_t>(when.time_since_epoch().count(), 1);
  itimerspec spec{};
  spec.it_value.tv_sec = us / 1'000'000;
  spec.it_value.tv_nsec = us % 1'000'000 * 1'000;
  arm(timer_.native_handle(), spec);
}

void BootTimer::clear() {
  arm(timer_.native_handle(), {});
}

void BootTimer::wait() {
  timer_.async_wait(boost::asio::posix::stream_descriptor::wait_read,
                    [this](boost::system::error_code error) {
                      if (error) return;
                      std::uint64_t times = 0;
                      const bool rang = ::read(timer_.native_handle(), &times, sizeof times) == sizeof times;
                      wait();
                      if (rang) due_();
                    });
}

}  // namespace noonfall::event_loop
