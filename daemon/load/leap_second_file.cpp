#include "daemon/load/leap_second_file.h"

#include "daemon/posix/text_file.h"

namespace noonfall::load {

LeapSeconds newest_leap_seconds() {
  const auto text = posix::read_text_file("/usr/share/zoneinfo/leap-seconds.list", 1U << 20U);
  if (!text) return built_in_leap_seconds();
  const auto table = parse_leap_seconds(*text);
  return table && table->valid_until > built_in_leap_seconds().valid_until ? *table : built_in_leap_seconds();
}

}  // namespace noonfall::load
