#include "daemon/clock/sample.h"

#include <cmath>

namespace noonfall::clock {
namespace {

Duration at_least(Duration span, Duration least) {
  return std::chrono::abs(span) < least ? Duration{} : span;
}

}  // namespace

Movement movement(const ClockSample& before, const ClockSample& now) {
  constexpr Duration reading_noise{100};
  const Duration boot = now.boot - before.boot;
  const Duration monotonic = now.monotonic - before.monotonic;
  const Duration raw = now.raw - before.raw;
  const Duration least_slew = reading_noise + from_seconds(std::abs(in_seconds(raw)) * least_slew_ppm * 1e-6);
  return {.stepped = at_least(now.realtime - before.realtime - boot, least_step),
          .slept = at_least(boot - monotonic, least_sleep),
          .slewed = at_least(monotonic - raw, least_slew)};
}

}  // namespace noonfall::clock
