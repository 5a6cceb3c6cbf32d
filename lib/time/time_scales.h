// TT and UT1 as their own types, so that no formula can take one for the other or for UTC.
#pragma once

#include <compare>

#include "lib/time/leap_seconds.h"
#include "lib/time/utc.h"

namespace noonfall {

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
