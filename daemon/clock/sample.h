// One reading of the machine's clocks, and how they moved against each other between two of them.
#pragma once

#include "lib/shotlog/line.h"
#include "lib/time/utc.h"

namespace noonfall::clock {

/// As the log keeps it.
using ClockSample = shotlog::ClockReadings;

/// What happened to the system clock between two samples; zero is nothing.
struct Movement {
  Duration stepped{};  // REALTIME against BOOTTIME: it was set, forward if positive
  Duration slept{};    // BOOTTIME against MONOTONIC
  Duration slewed{};   // MONOTONIC against MONOTONIC_RAW, beyond what a plain frequency correction does
  bool operator==(const Movement&) const = default;
  /// Whether what was known of the clock before is worth nothing any more.
  [[nodiscard]] bool disturbs() const { return stepped.count() != 0 || slept.count() != 0; }
};

/// Smaller steps are the noise of reading four clocks one after the other, or don't matter.
inline constexpr Duration least_step{5'000};
inline constexpr Duration least_sleep{100'000};
/// Frequency corrections of healthy machines stay below it (from memory; the kernel's own limit is 500 ppm).
inline constexpr double least_slew_ppm = 250;

[[nodiscard]] Movement movement(const ClockSample& before, const ClockSample& now);

}  // namespace noonfall::clock
