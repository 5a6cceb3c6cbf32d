#include "daemon/worker/real_time.h"

#include <fcntl.h>
#include <pthread.h>
#include <sched.h>
#include <sys/mman.h>
#include <sys/prctl.h>

#include <cerrno>
#include <cstdint>

#include <fmt/format.h>

#include "daemon/worker/file_descriptor.h"
#include "daemon/worker/unix_socket.h"

namespace noonfall::worker {
namespace {

constexpr int modest_priority = 20;
constexpr std::int32_t wake_latency_us = 20;

std::string outcome(const std::string& what, bool granted) {
  return granted ? fmt::format("{}: granted", what) : fmt::format("{}: {}", what, system_error_words());
}

}  // namespace

std::vector<std::string> make_thread_punctual() {
  std::vector<std::string> words;
  words.push_back(outcome("timer slack of 1 ns", ::prctl(PR_SET_TIMERSLACK, 1UL, 0UL, 0UL, 0UL) == 0));
  sched_param parameters{};
  parameters.sched_priority = modest_priority;
  errno = ::pthread_setschedparam(::pthread_self(), SCHED_FIFO, &parameters);
  words.push_back(outcome(fmt::format("SCHED_FIFO {}", modest_priority), errno == 0));
  return words;
}

std::vector<std::string> make_process_punctual() {
  std::vector<std::string> words;
  words.push_back(outcome("mlockall", ::mlockall(MCL_CURRENT | MCL_FUTURE | MCL_ONFAULT) == 0));
  // The request ends when the descriptor is closed, so this one is kept.
  static FileDescriptor latency{::open("/dev/cpu_dma_latency", O_WRONLY | O_CLOEXEC)};
  const bool asked = latency.is_open() && ::write(latency.get(), &wake_latency_us, sizeof wake_latency_us) ==
                                              sizeof wake_latency_us;
  words.push_back(outcome("/dev/cpu_dma_latency", asked));
  return words;
}

}  // namespace noonfall::worker
