// Reads the boot clock.
#pragma once

#include <time.h>

#include "lib/time/boot_clock.h"

namespace noonfall::posix {

[[nodiscard]] inline BootTime boot_now() {
  timespec now{};
  ::clock_gettime(CLOCK_BOOTTIME, &now);
  return BootTime{std::chrono::seconds{now.tv_sec} +
                  std::chrono::duration_cast<BootClock::duration>(std::chrono::nanoseconds{now.tv_nsec})};
}

}  // namespace noonfall::posix
