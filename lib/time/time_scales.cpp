#include "lib/time/time_scales.h"

namespace noonfall {

Tt to_tt(Utc instant, const LeapSeconds& leaps) {
  return {instant.time_since_epoch() + std::chrono::seconds{tai_minus_utc_s(leaps, instant)} + tt_minus_tai};
}

Utc to_utc(Tt instant, const LeapSeconds& leaps) {
  const Utc tai{instant.since_1970 - tt_minus_tai};
  const Utc guess = tai - std::chrono::seconds{tai_minus_utc_s(leaps, tai)};
  return tai - std::chrono::seconds{tai_minus_utc_s(leaps, guess)};
}

Ut1 to_ut1(Utc instant, Duration dut1) {
  return {instant.time_since_epoch() + dut1};
}

Duration delta_t(Utc instant, Duration dut1, const LeapSeconds& leaps) {
  return to_tt(instant, leaps).since_1970 - to_ut1(instant, dut1).since_1970;
}

}  // namespace noonfall
