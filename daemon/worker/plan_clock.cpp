#include "daemon/worker/plan_clock.h"

#include <time.h>

#include <algorithm>

namespace noonfall::worker {

BootTime boot_now() {
  timespec now{};
  ::clock_gettime(CLOCK_BOOTTIME, &now);
  return BootTime{std::chrono::seconds{now.tv_sec} +
                  std::chrono::duration_cast<BootClock::duration>(std::chrono::nanoseconds{now.tv_nsec})};
}

void PlanClock::set(const ClockMapping& mapping) {
  const std::lock_guard lock{mutex_};
  mapping_ = mapping;
}

bool PlanClock::is_set() const {
  const std::lock_guard lock{mutex_};
  return mapping_.has_value();
}

ClockMapping PlanClock::mapping() const {
  const std::lock_guard lock{mutex_};
  return mapping_.value();
}

Utc PlanClock::now() {
  const std::lock_guard lock{mutex_};
  last_ = std::max(last_, mapping_.value().utc_at(boot_now()));
  return last_;
}

BootTime PlanClock::boot_at(Utc when) const {
  const std::lock_guard lock{mutex_};
  return mapping_.value().boot_at(when);
}

}  // namespace noonfall::worker
