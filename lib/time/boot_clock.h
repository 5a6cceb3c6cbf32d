// Time since boot, which nobody can set, and which UTC it stands for.
#pragma once

#include <chrono>
#include <cmath>
#include <cstdint>

#include "lib/time/utc.h"

namespace noonfall {

/// CLOCK_BOOTTIME: rises through suspends and is never set. Reading it is for the daemon; this names its
/// instants.
struct BootClock {
  using duration = std::chrono::microseconds;
  using rep = duration::rep;
  using period = duration::period;
  using time_point = std::chrono::time_point<BootClock>;
  static constexpr bool is_steady = true;
};
using BootTime = BootClock::time_point;

/// The plan's clock as a function of the boot clock: `utc` at `boot`, going on at `speed` (1 but in a
/// simulated run that is hurried).
struct ClockMapping {
  BootTime boot;
  Utc utc;
  double speed = 1;
  bool operator==(const ClockMapping&) const = default;

  [[nodiscard]] Utc utc_at(BootTime when) const { return utc + scaled(when - boot, speed); }
  /// The first boot instant at which utc_at() is `when` or later, to within a microsecond.
  [[nodiscard]] BootTime boot_at(Utc when) const { return boot + scaled(when - utc, 1 / speed); }

 private:
  static Duration scaled(Duration span, double factor) {
    if (factor == 1) return span;
    return Duration{static_cast<std::int64_t>(std::ceil(static_cast<double>(span.count()) * factor))};
  }
};

}  // namespace noonfall
