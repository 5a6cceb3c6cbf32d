#include "daemon/clock/gpsd_reports.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <string_view>

#include <gps.h>

namespace noonfall::clock {
namespace {

/// Only these go to libgps: its 3.22 never returns from gps_unpack() when what it didn't understand of a line
/// goes on to name a class.
bool is_one_flat_report(std::string_view line) {
  constexpr std::array<std::string_view, 4> openings{R"({"class":"VERSION")", R"({"class":"TPV")",
                                                     R"({"class":"TOFF")", R"({"class":"PPS")"};
  constexpr std::string_view key = R"("class":)";
  return line.find(key) == line.rfind(key) &&
         std::any_of(openings.begin(), openings.end(),
                     [&](auto opening) { return line.starts_with(opening); });
}

/// libgps gives 1970 or a year before it where a report has no instant, or none that can be read.
std::optional<Utc> instant(const timespec& time) {
  constexpr long year_2200 = 7'258'118'400;
  if (time.tv_sec <= 0 || time.tv_sec > year_2200 || time.tv_nsec < 0 || time.tv_nsec > 999'999'999) {
    return std::nullopt;
  }
  return Utc{std::chrono::seconds{time.tv_sec} + Duration{time.tv_nsec / 1000}};
}

std::optional<GpsPosition> position_of(const gps_fix_t& fix) {
  const bool possible =
      std::abs(fix.latitude) <= 90 && std::abs(fix.longitude) <= 180;  // not if they are missing
  if (fix.mode < MODE_2D || !possible) return std::nullopt;
  GpsPosition position{Degrees{fix.latitude}, Degrees{fix.longitude}, std::nullopt};
  if (fix.eph > 0 && std::isfinite(fix.eph)) position.accuracy = Metres{fix.eph};
  return position;
}

GpsFix fix_of(const gps_data_t& read) {
  GpsFix fix;
  if (read.fix.mode < MODE_NOT_SEEN || read.fix.mode > MODE_3D) return fix;
  fix.mode = read.fix.mode;
  fix.time = instant(read.fix.time);
  if (read.leap_seconds != 0) fix.leap_seconds = read.leap_seconds;
  fix.position = position_of(read.fix);
  return fix;
}

std::optional<GpsdReport> offset_of(const timedelta_t& read, GpsOffset::Of of) {
  const auto real = instant(read.real);
  const auto system = instant(read.clock);
  if (!real || !system) return std::nullopt;
  return GpsOffset{of, *real, *system};
}

}  // namespace

std::optional<GpsdReport> read_gpsd_report(std::string line) {
  if (!is_one_flat_report(line)) return std::nullopt;
  const auto read = std::make_unique<gps_data_t>();  // some 100 kB
  gps_unpack(line.data(), read.get());
  if (read->set & VERSION_SET) return GpsdVersion{read->version.proto_major};
  if (read->set & STATUS_SET) return fix_of(*read);
  if (read->set & PPS_SET) return offset_of(read->pps, GpsOffset::Of::pulse);
  // 3.22 puts these into the place of the pulse.
  if (read->set & TOFF_SET) {
    return offset_of(read->toff.real.tv_sec != 0 ? read->toff : read->pps, GpsOffset::Of::serial_data);
  }
  return std::nullopt;
}

bool ask_for_reports(int socket) {
  const auto gpsd = std::make_unique<gps_data_t>();
  gpsd->gps_fd = socket;
  return gps_stream(gpsd.get(), WATCH_ENABLE | WATCH_JSON | WATCH_PPS, nullptr) == 0;
}

}  // namespace noonfall::clock
