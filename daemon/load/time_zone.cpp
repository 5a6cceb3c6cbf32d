#include "daemon/load/time_zone.h"

#include <cstdlib>
#include <filesystem>
#include <memory>

#include <fmt/format.h>

#include "daemon/posix/text_file.h"
#include "lib/time/utc_text.h"

namespace noonfall::load {
namespace {

namespace fs = std::filesystem;

fs::path zone_folder() {
  const char* named = std::getenv("TZDIR");  // NOLINT(concurrency-mt-unsafe): nothing here sets variables
  return named == nullptr || *named == '\0' ? "/usr/share/zoneinfo" : named;
}

Failure unreadable(const std::string& name, const Diagnostics& why) {
  return fail(error_at(
      {}, "zone-file",
      fmt::format("times are UTC alone, the time zone {} can't be read: {}", name, why.front().message),
      "the system's tzdata installed anew"));
}

}  // namespace

Result<Zone> find_zone(const std::string& name) {
  const auto path = zone_folder() / name;
  std::error_code ignored;
  if (name.starts_with('/') || name.find("..") != std::string::npos || !fs::is_regular_file(path, ignored)) {
    return fail(error_at({}, "unknown-zone", fmt::format("no time zone \"{}\" here", name),
                         "an IANA name such as Europe/Madrid, or none for UTC alone"));
  }
  constexpr std::size_t most_bytes = 1U << 20U;
  const auto bytes = posix::read_text_file(path.string(), most_bytes);
  if (!bytes) return unreadable(name, bytes.error());
  auto zone = Zone::parse(*bytes);
  if (!zone) return unreadable(name, zone.error());
  return zone;
}

LocalClock local_clock(const std::string& name) {
  if (name.empty()) return {};
  auto found = find_zone(name);
  if (!found) return {};
  return [zone = std::make_shared<const Zone>(std::move(*found))](Utc instant) {
    return to_clock_text(zone->wall_clock(instant), 1);
  };
}

}  // namespace noonfall::load
