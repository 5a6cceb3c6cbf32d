// The count of leap seconds as data: a table, not a constant.
#pragma once

#include <string_view>
#include <vector>

#include "lib/base/result.h"
#include "lib/time/utc.h"

namespace noonfall {

/// TAI − UTC from each instant on, oldest first, and the instant up to which the table's maker vouches for
/// it.
struct LeapSeconds {
  struct Step {
    Utc from;
    int tai_minus_utc_s;
    bool operator==(const Step&) const = default;
  };
  std::vector<Step> steps;
  Utc valid_until;
  bool operator==(const LeapSeconds&) const = default;
};

/// The table known when this was written (IERS Bulletin C 70: 37 s since 2017-01-01).
[[nodiscard]] const LeapSeconds& built_in_leap_seconds();

/// Reads the text of tzdata's or IERS's `leap-seconds.list`: "#" comments, "#@ EXPIRY", rows of NTP seconds
/// and TAI − UTC. Rows must rise in time and differ by one second; without an expiry or rows it is an error.
[[nodiscard]] Result<LeapSeconds> parse_leap_seconds(std::string_view text);

/// TAI − UTC at `instant`, seconds; before the first step, the first step's.
[[nodiscard]] int tai_minus_utc_s(const LeapSeconds& table, Utc instant);

}  // namespace noonfall
