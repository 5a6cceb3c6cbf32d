// Instants and spans of the schedule. Everything a camera is told is one of these.
#pragma once

#include <chrono>
#include <cstdint>

namespace noonfall {

/// POSIX UTC to the microsecond. Leap seconds have no instant of their own, so ":60" can't be said.
using Utc = std::chrono::sys_time<std::chrono::microseconds>;
using Duration = std::chrono::microseconds;

constexpr double in_seconds(Duration span) {
  return static_cast<double>(span.count()) / 1e6;
}
constexpr double in_milliseconds(Duration span) {
  return static_cast<double>(span.count()) / 1e3;
}

/// Nearest microsecond; the caller keeps |s| below 9e12.
constexpr Duration from_seconds(double s) {
  return Duration{static_cast<std::int64_t>(s * 1e6 + (s < 0 ? -0.5 : 0.5))};
}

}  // namespace noonfall
