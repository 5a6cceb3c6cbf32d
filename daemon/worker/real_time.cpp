#include "daemon/worker/real_time.h"

#include <fcntl.h>
#include <pthread.h>
#include <sched.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <unistd.h>

#include <cerrno>
#include <cstdint>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "daemon/posix/error_words.h"
#include "daemon/posix/file_descriptor.h"

namespace noonfall::worker {
namespace {

constexpr int modest_priority = 20;
constexpr std::int32_t wake_latency_us = 20;

void note(Punctuality& punctuality, const std::string& what, bool granted, const std::string& why) {
  (granted ? punctuality.granted : punctuality.refused)
      .push_back(granted ? what : fmt::format("{} ({})", what, why));
}

void note(Punctuality& punctuality, const std::string& what, bool granted) {
  note(punctuality, what, granted, posix::error_words());
}

}  // namespace

std::string to_text(const Punctuality& punctuality) {
  return fmt::format(
      "punctual by {}{}{}", fmt::join(punctuality.granted, ", "),
      punctuality.refused.empty() ? "" : "; not granted: ", fmt::join(punctuality.refused, ", "));
}

void make_process_punctual(Punctuality& punctuality) {
  // Only where there is no limit to it: under one, the lock may be granted and the next thread's stack
  // refused.
  rlimit limit{};
  const bool free = ::getrlimit(RLIMIT_MEMLOCK, &limit) == 0 && limit.rlim_cur == RLIM_INFINITY;
  if (free || ::geteuid() == 0) {
    note(punctuality, "mlockall", ::mlockall(MCL_CURRENT | MCL_FUTURE | MCL_ONFAULT) == 0);
  } else {
    note(punctuality, "mlockall", false, "the limit of locked memory isn't unlimited");
  }
  // The request ends when the descriptor is closed, so this one is kept.
  static posix::FileDescriptor latency{::open("/dev/cpu_dma_latency", O_WRONLY | O_CLOEXEC)};
  const bool asked = latency.is_open() && ::write(latency.get(), &wake_latency_us, sizeof wake_latency_us) ==
                                              sizeof wake_latency_us;
  note(punctuality, "/dev/cpu_dma_latency", asked);
}

void make_thread_punctual(Punctuality& punctuality) {
  note(punctuality, "timer slack of 1 ns", ::prctl(PR_SET_TIMERSLACK, 1UL, 0UL, 0UL, 0UL) == 0);
  sched_param parameters{};
  parameters.sched_priority = modest_priority;
  errno = ::pthread_setschedparam(::pthread_self(), SCHED_FIFO, &parameters);
  note(punctuality, fmt::format("SCHED_FIFO {}", modest_priority), errno == 0);
}

}  // namespace noonfall::worker
