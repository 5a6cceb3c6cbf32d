#include "daemon/clock/read_clocks.h"

#include <chrono>
#include <ctime>
#include <fstream>

#include "daemon/posix/boot_time.h"

namespace noonfall::clock {
namespace {

Duration read(clockid_t id) {
  timespec now{};
  clock_gettime(id, &now);
  return std::chrono::duration_cast<Duration>(std::chrono::seconds{now.tv_sec} +
                                              std::chrono::nanoseconds{now.tv_nsec});
}

}  // namespace

ClockSample read_clocks() {
  constexpr Duration good_enough{20};
  ClockSample best;
  Duration best_width = Duration::max();
  for (int attempt = 0; attempt < 5 && best_width > good_enough; ++attempt) {
    const auto before = posix::boot_now();
    const Utc realtime{read(CLOCK_REALTIME)};
    const auto monotonic = read(CLOCK_MONOTONIC);
    const auto raw = read(CLOCK_MONOTONIC_RAW);
    const Duration width = posix::boot_now() - before;
    if (width >= best_width) continue;
    best_width = width;
    best = {before + width / 2, realtime, monotonic, raw};
  }
  return best;
}

std::string boot_id() {
  std::ifstream file{"/proc/sys/kernel/random/boot_id"};
  std::string id;
  std::getline(file, id);
  return id;
}

}  // namespace noonfall::clock
