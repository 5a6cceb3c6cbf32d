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
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "daemon/posix/error_words.h"
#include "daemon/posix/file_descriptor.h"

namespace noonfall::worker {
namespace {

constexpr int modest_priority = 20;
constexpr std::int32_t wake_latency_us = 20;

Favour outcome(std::string what, bool granted) {
  return {std::move(what), granted ? "" : posix::error_words()};
}

/// Only where there is no limit to it: under one, the lock may be granted and the next thread's stack
/// refused.
Favour lock_memory() {
  rlimit limit{};
  const bool free = ::getrlimit(RLIMIT_MEMLOCK, &limit) == 0 && limit.rlim_cur == RLIM_INFINITY;
  if (!free && ::geteuid() != 0) return {"mlockall", "the limit of locked memory isn't unlimited"};
  return outcome("mlockall", ::mlockall(MCL_CURRENT | MCL_FUTURE | MCL_ONFAULT) == 0);
}

}  // namespace

std::string to_text(const std::vector<Favour>& favours) {
  std::vector<std::string> granted;
  std::vector<std::string> refused;
  for (const auto& favour : favours) {
    if (favour.refused.empty()) granted.push_back(favour.what);
    if (!favour.refused.empty()) refused.push_back(fmt::format("{} ({})", favour.what, favour.refused));
  }
  return fmt::format("punctual by {}{}{}", fmt::join(granted, ", "),
                     refused.empty() ? "" : "; not granted: ", fmt::join(refused, ", "));
}

std::vector<Favour> make_thread_punctual() {
  std::vector<Favour> favours;
  favours.push_back(outcome("timer slack of 1 ns", ::prctl(PR_SET_TIMERSLACK, 1UL, 0UL, 0UL, 0UL) == 0));
  sched_param parameters{};
  parameters.sched_priority = modest_priority;
  errno = ::pthread_setschedparam(::pthread_self(), SCHED_FIFO, &parameters);
  favours.push_back(outcome(fmt::format("SCHED_FIFO {}", modest_priority), errno == 0));
  return favours;
}

std::vector<Favour> make_process_punctual() {
  std::vector<Favour> favours;
  favours.push_back(lock_memory());
  // The request ends when the descriptor is closed, so this one is kept.
  static posix::FileDescriptor latency{::open("/dev/cpu_dma_latency", O_WRONLY | O_CLOEXEC)};
  const bool asked = latency.is_open() && ::write(latency.get(), &wake_latency_us, sizeof wake_latency_us) ==
                                              sizeof wake_latency_us;
  favours.push_back(outcome("/dev/cpu_dma_latency", asked));
  return favours;
}

}  // namespace noonfall::worker
