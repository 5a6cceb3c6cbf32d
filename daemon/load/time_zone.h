// Civil time at the site, from the system's zone files. It only shows: whoever can't have it goes by UTC.
#pragma once

#include <string>

#include "lib/time/local_clock.h"
#include "lib/time/zone.h"

namespace noonfall::load {

/// From $TZDIR, else /usr/share/zoneinfo. Errors: "unknown-zone", or "zone-file" for one that is there and
/// can't be read or made sense of.
[[nodiscard]] Result<Zone> find_zone(const std::string& name);

/// Time of day in an IANA zone, like "09:12:03.0"; empty without a zone that can be read.
[[nodiscard]] LocalClock local_clock(const std::string& zone);

}  // namespace noonfall::load
