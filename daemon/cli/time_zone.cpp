#include "daemon/cli/time_zone.h"

#include <stdexcept>

#include <date/tz.h>

#include "lib/time/utc_text.h"

namespace noonfall::cli {

const date::time_zone* find_zone(const std::string& name) {
  try {
    return date::locate_zone(name);
  } catch (const std::runtime_error&) {
    return nullptr;
  }
}

Utc wall_clock(Utc instant, const date::time_zone& zone) {
  return instant + zone.get_info(instant).offset;
}

LocalClock local_clock(const std::string& zone) {
  const auto* found = zone.empty() ? nullptr : find_zone(zone);
  if (found == nullptr) return {};
  return [found](Utc instant) { return to_clock_text(wall_clock(instant, *found), 1); };
}

}  // namespace noonfall::cli
