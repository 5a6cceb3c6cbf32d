// UTC, TT and UT1 as types of their own, so that no formula takes one for another, and the leap seconds
// between.
#pragma once

#include <compare>
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

inline constexpr Duration tt_minus_tai{32'184'000};  // IAU 1991 resolution A4

/// Terrestrial Time: the clock of ephemerides. The count runs from 1970-01-01T00:00:00 of the same scale.
struct Tt {
  Duration since_1970;
  friend constexpr auto operator<=>(Tt, Tt) = default;
};

/// Universal Time, the Earth's rotation as a clock. Same count.
struct Ut1 {
  Duration since_1970;
  friend constexpr auto operator<=>(Ut1, Ut1) = default;
};

[[nodiscard]] Tt to_tt(Utc instant, const LeapSeconds& leaps);
[[nodiscard]] Utc to_utc(Tt instant, const LeapSeconds& leaps);
/// `dut1` is UT1 − UTC, an observed value below 0.9 s (IERS Bulletin A).
[[nodiscard]] Ut1 to_ut1(Utc instant, Duration dut1);
/// Delta T = TT − UT1 at `instant`.
[[nodiscard]] Duration delta_t(Utc instant, Duration dut1, const LeapSeconds& leaps);

}  // namespace noonfall
