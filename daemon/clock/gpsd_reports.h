// gpsd's reports as values: one JSON object a line, of which four kinds matter here.
//
// Protocol 3, as in gpsd_json(5).
#pragma once

#include <optional>
#include <string_view>
#include <variant>

#include "lib/time/utc.h"

namespace noonfall::clock {

struct GpsdVersion {
  int major = 0;
};

/// TPV: whether the receiver knows where, and so when, it is.
struct GpsFix {
  int mode = 0;  // 0 unknown, 1 none, 2 without height, 3 full
  std::optional<Utc> time;
  std::optional<int> leap_seconds;  // GPS less UTC, as the receiver believes
};

/// TOFF and PPS: what the receiver's and the system's clock said at one instant.
struct GpsOffset {
  enum class Of { serial_data, pulse };
  Of of = Of::serial_data;
  Utc real;
  Utc system;
  Duration precision{};  // of the pulse, as gpsd believes
};

/// Anything else, and what isn't a report at all.
struct GpsdOther {};

using GpsdReport = std::variant<GpsdVersion, GpsFix, GpsOffset, GpsdOther>;

[[nodiscard]] GpsdReport parse_gpsd_report(std::string_view line);

/// What makes gpsd talk, with its line end. (Requests are limited to 80 characters.)
inline constexpr std::string_view gpsd_watch_request =
    "?WATCH={\"enable\":true,\"json\":true,\"pps\":true};\n";

}  // namespace noonfall::clock
