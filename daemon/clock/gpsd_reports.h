// gpsd's reports as values, read with libgps: four classes matter here.
//
// Protocol 3, as in gpsd_json(5).
#pragma once

#include <optional>
#include <string>
#include <variant>

#include "lib/base/units.h"
#include "lib/time/utc.h"

namespace noonfall::clock {

struct GpsdVersion {
  int major = 0;
};

struct GpsPosition {
  Degrees latitude;   // WGS 84, north positive
  Degrees longitude;  // east positive
  std::optional<Metres>
      accuracy;  // the receiver's own estimate of its horizontal error, of unknown certainty
  bool operator==(const GpsPosition&) const = default;
};

/// TPV: whether the receiver knows where, and so when, it is.
struct GpsFix {
  int mode = 0;  // 0 unknown, 1 none, 2 without height, 3 full
  std::optional<Utc> time;
  std::optional<int> leap_seconds;  // GPS less UTC, as the receiver believes
  std::optional<GpsPosition> position = std::nullopt;
};

/// TOFF and PPS: what the receiver's and the system's clock said at one instant.
struct GpsOffset {
  enum class Of { serial_data, pulse };
  Of of = Of::serial_data;
  Utc real;
  Utc system;
};

using GpsdReport = std::variant<GpsdVersion, GpsFix, GpsOffset>;

/// Empty for every other class, and for what isn't a report at all.
[[nodiscard]] std::optional<GpsdReport> read_gpsd_report(std::string line);

/// Asks the gpsd behind a freshly connected socket to talk. False if that can't be written.
[[nodiscard]] bool ask_for_reports(int socket);

}  // namespace noonfall::clock
