#include "daemon/posix/boot_time.h"

#include <time.h>

namespace noonfall::posix {

BootTime boot_now() {
  timespec now{};
  ::clock_gettime(CLOCK_BOOTTIME, &now);
  return BootTime{std::chrono::seconds{now.tv_sec} +
                  std::chrono::duration_cast<BootClock::duration>(std::chrono::nanoseconds{now.tv_nsec})};
}

}  // namespace noonfall::posix
