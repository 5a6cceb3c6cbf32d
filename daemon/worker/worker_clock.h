// The plan's time as this process tells it: the boot clock, and what the daemon says it stands for.
#pragma once

#include <mutex>
#include <optional>

#include "lib/time/boot_clock.h"

namespace noonfall::worker {

/// For use from any thread.
class WorkerClock {
 public:
  void set(const ClockMapping& mapping);
  [[nodiscard]] bool is_set() const;
  /// Only once set, like all that follows.
  [[nodiscard]] ClockMapping mapping() const;

  /// Never goes back, whatever mapping comes.
  [[nodiscard]] Utc now();
  /// When the plan's clock will show `when`, by the present mapping.
  [[nodiscard]] BootTime boot_at(Utc when) const;

 private:
  mutable std::mutex mutex_;
  std::optional<ClockMapping> mapping_;
  Utc last_ = Utc::min();
};

}  // namespace noonfall::worker
