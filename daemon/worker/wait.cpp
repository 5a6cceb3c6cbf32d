#include "daemon/worker/wait.h"

#include <poll.h>
#include <signal.h>
#include <sys/eventfd.h>
#include <sys/signalfd.h>
#include <time.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdint>
#include <system_error>

#include "daemon/posix/boot_time.h"

namespace noonfall::worker {
namespace {

using namespace std::chrono_literals;

constexpr Duration last_stretch = 20ms;
constexpr Duration longest_poll = 1h;  // keeps the arithmetic in range; the loop goes on

timespec spec(std::chrono::nanoseconds span) {
  const auto seconds = std::chrono::floor<std::chrono::seconds>(span);
  return {static_cast<time_t>(seconds.count()), static_cast<long>((span - seconds).count())};
}

/// True when a bell rang.
bool listen(std::optional<Duration> span, std::initializer_list<const Bell*> bells) {
  std::array<pollfd, 4> polled{};
  nfds_t count = 0;
  for (const auto* bell : bells) polled.at(count++) = {bell->descriptor(), POLLIN, 0};
  const auto limit = spec(span.value_or(longest_poll));
  return ::ppoll(polled.data(), count, &limit, nullptr) > 0;
}

void sleep_to(BootTime when) {
  const auto at = spec(when.time_since_epoch());
  while (::clock_nanosleep(CLOCK_BOOTTIME, TIMER_ABSTIME, &at, nullptr) == EINTR) {
  }
}

}  // namespace

Bell::Bell() : event_{::eventfd(0, EFD_NONBLOCK | EFD_CLOEXEC)} {
  if (!event_.is_open()) throw std::system_error{errno, std::generic_category(), "eventfd"};
}

void Bell::ring() {
  const std::uint64_t one = 1;
  // Fails only when it rings already.
  [[maybe_unused]] const auto written = ::write(event_.get(), &one, sizeof one);
}

void Bell::clear() {
  std::uint64_t count = 0;
  [[maybe_unused]] const auto got = ::read(event_.get(), &count, sizeof count);
}

void wait_until(std::optional<BootTime> when, std::initializer_list<const Bell*> bells) {
  for (;;) {
    std::optional<Duration> left;
    if (when) left = std::min<Duration>(*when - last_stretch - posix::boot_now(), longest_poll);
    if (left && *left <= Duration{0}) break;
    if (listen(left, bells)) return;
  }
  if (listen(Duration{0}, bells)) return;
  sleep_to(*when);
}

posix::FileDescriptor take_end_signals() {
  ::signal(SIGPIPE, SIG_IGN);
  ::signal(SIGHUP, SIG_IGN);
  ::signal(SIGXFSZ, SIG_IGN);  // a limit on files is a full disk, not an end
  sigset_t ends;
  sigemptyset(&ends);
  sigaddset(&ends, SIGTERM);
  sigaddset(&ends, SIGINT);
  ::pthread_sigmask(SIG_BLOCK, &ends, nullptr);
  return posix::FileDescriptor{::signalfd(-1, &ends, SFD_NONBLOCK | SFD_CLOEXEC)};
}

}  // namespace noonfall::worker
