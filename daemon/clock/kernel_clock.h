// What the kernel says of its own clock.
#pragma once

#include <functional>

#include "daemon/clock/heard.h"
#include "lib/time/utc.h"

namespace noonfall::clock {

/// What ntp_adjtime() tells whoever asks without changing anything.
struct KernelClock {
  int state = 0;   // its return value; TIME_ERROR (5) when nobody keeps the clock, -1 when it can't be asked
  int status = 0;  // STA_… flags
  Duration max_error{};
};

[[nodiscard]] KernelClock read_kernel_clock();

using ReadKernelClock = std::function<KernelClock()>;

/// Up to how far the clock may be off. STA_UNSYNC comes up only when max_error, which grows 0.5 ms each
/// second after a time daemon's last word, has passed 16 s: 8.9 hours of a flag that looks fine. So the value
/// counts. Simple daemons set it to zero with each answer of their server, whatever that was worth: 50 ms on
/// top.
[[nodiscard]] Heard<Duration> judge_kernel(const KernelClock& kernel);

}  // namespace noonfall::clock
