#include "daemon/worker/worker_clock.h"

#include <algorithm>

#include "daemon/posix/boot_time.h"

namespace noonfall::worker {

void WorkerClock::set(const ClockMapping& mapping) {
  const std::lock_guard lock{mutex_};
  mapping_ = mapping;
}

bool WorkerClock::is_set() const {
  const std::lock_guard lock{mutex_};
  return mapping_.has_value();
}

ClockMapping WorkerClock::mapping() const {
  const std::lock_guard lock{mutex_};
  return mapping_.value();
}

Utc WorkerClock::now() {
  const std::lock_guard lock{mutex_};
  last_ = std::max(last_, mapping_.value().utc_at(posix::boot_now()));
  return last_;
}

BootTime WorkerClock::boot_at(Utc when) const {
  const std::lock_guard lock{mutex_};
  return mapping_.value().boot_at(when);
}

}  // namespace noonfall::worker
