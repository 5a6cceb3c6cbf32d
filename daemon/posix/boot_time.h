// Reads the boot clock.
#pragma once

#include "lib/time/boot_clock.h"

namespace noonfall::posix {

[[nodiscard]] BootTime boot_now();

}  // namespace noonfall::posix
