// Reads the machine's clocks and which boot this is.
#pragma once

#include <functional>
#include <string>

#include "daemon/clock/sample.h"

namespace noonfall::clock {

/// All four within some microseconds of each other, unless the machine is too busy to be read better.
[[nodiscard]] ClockSample read_clocks();

/// For those who would rather be told what the clocks say.
using ReadClocks = std::function<ClockSample()>;

/// The kernel's name of this boot: boot times of different boots can't be compared. Empty where it can't be
/// read.
[[nodiscard]] std::string boot_id();

}  // namespace noonfall::clock
