// How a printed page shows the time at the site without knowing of time zones.
#pragma once

#include <functional>
#include <string>

#include "lib/time/utc.h"

namespace noonfall {

/// Time of day somewhere else than at Greenwich, like "10:51:12.3"; an empty function for UTC alone.
using LocalClock = std::function<std::string(Utc)>;

}  // namespace noonfall
