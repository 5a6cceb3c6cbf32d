// The leap seconds the system knows of.
#pragma once

#include "lib/time/leap_seconds.h"

namespace noonfall::load {

/// tzdata's list when it is readable and vouches for longer than the built-in table.
[[nodiscard]] LeapSeconds newest_leap_seconds();

}  // namespace noonfall::load
