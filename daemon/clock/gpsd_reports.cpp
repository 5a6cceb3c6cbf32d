#include "daemon/clock/gpsd_reports.h"

#include <cmath>
#include <cstdint>
#include <string>

#include <nlohmann/json.hpp>

#include "lib/time/utc_text.h"

namespace noonfall::clock {
namespace {

using Json = nlohmann::json;

/// The whole number under `key`, if there is one and it lies within the limits.
std::optional<std::int64_t> whole(const Json& report, const char* key, std::int64_t least,
                                  std::int64_t most) {
  const auto found = report.find(key);
  if (found == report.end() || !found->is_number_integer()) return std::nullopt;
  if (found->is_number_unsigned() && found->get<std::uint64_t>() > static_cast<std::uint64_t>(INT64_MAX)) {
    return std::nullopt;
  }
  const auto value = found->get<std::int64_t>();
  if (value < least || value > most) return std::nullopt;
  return value;
}

std::optional<Utc> instant(const Json& report, const char* seconds_key, const char* nanoseconds_key) {
  constexpr std::int64_t year_2200 = 7'258'118'400;
  const auto seconds = whole(report, seconds_key, 0, year_2200);
  const auto nanoseconds = whole(report, nanoseconds_key, 0, 999'999'999);
  if (!seconds || !nanoseconds) return std::nullopt;
  return Utc{std::chrono::seconds{*seconds} + Duration{*nanoseconds / 1000}};
}

GpsdReport version_of(const Json& report) {
  const auto major = whole(report, "proto_major", 0, 1000);
  if (!major) return GpsdOther{};
  return GpsdVersion{static_cast<int>(*major)};
}

GpsdReport fix_of(const Json& report) {
  GpsFix fix;
  fix.mode = static_cast<int>(whole(report, "mode", 0, 3).value_or(0));
  if (const auto time = report.find("time"); time != report.end() && time->is_string()) {
    fix.time = parse_utc(time->get_ref<const std::string&>());
  }
  if (const auto leap = whole(report, "leapseconds", -100, 100)) fix.leap_seconds = static_cast<int>(*leap);
  return fix;
}

GpsdReport offset_of(const Json& report, GpsOffset::Of of) {
  const auto real = instant(report, "real_sec", "real_nsec");
  const auto system = instant(report, "clock_sec", "clock_nsec");
  if (!real || !system) return GpsdOther{};
  constexpr std::int64_t of_usb = -10;  // about 1 ms, where gpsd doesn't say
  const auto exponent = whole(report, "precision", -40, 0).value_or(of_usb);
  return GpsOffset{of, *real, *system, from_seconds(std::exp2(exponent))};
}

}  // namespace

GpsdReport parse_gpsd_report(std::string_view line) {
  const auto report = Json::parse(line, nullptr, false);
  if (!report.is_object()) return GpsdOther{};
  const auto found = report.find("class");
  if (found == report.end() || !found->is_string()) return GpsdOther{};
  const auto& kind = found->get_ref<const std::string&>();
  if (kind == "VERSION") return version_of(report);
  if (kind == "TPV") return fix_of(report);
  if (kind == "TOFF") return offset_of(report, GpsOffset::Of::serial_data);
  if (kind == "PPS") return offset_of(report, GpsOffset::Of::pulse);
  return GpsdOther{};
}

}  // namespace noonfall::clock
