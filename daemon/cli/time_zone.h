// Civil time at the site, from the system's zone files.
#pragma once

#include <string>

#include "lib/time/local_clock.h"

namespace date {
class time_zone;
}

namespace noonfall::cli {

/// The IANA zone of that name, or nullptr where this system knows none.
[[nodiscard]] const date::time_zone* find_zone(const std::string& name);

/// The zone's wall clock at `instant`, as an instant that reads like it.
[[nodiscard]] Utc wall_clock(Utc instant, const date::time_zone& zone);

/// Time of day in an IANA zone, like "09:12:03.0"; empty for no zone or an unknown one.
[[nodiscard]] LocalClock local_clock(const std::string& zone);

}  // namespace noonfall::cli
