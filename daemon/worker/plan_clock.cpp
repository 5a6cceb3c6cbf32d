#include "daemon/worker/plan_clock.h"

#include <time.h>

#include <algorithm>

#include "daemon/posix/boot_time.h"

namespace noonfall::worker {

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
  last_ = std::max(last_, mapping_.value().utc_at(posix::boot_now()));
  return last_;
}

BootTime PlanClock::boot_at(Utc when) const {
  const std::lock_guard lock{mutex_};
  return mapping_.value().boot_at(when);
}

}  // namespace noonfall::worker
