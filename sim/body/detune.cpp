#include "sim/body/detune.h"

#include <cmath>

namespace noonfall::sim {

Duration scaled(Duration span, double factor) {
  return Duration{std::llround(static_cast<double>(span.count()) * factor)};
}

namespace {

void scale(Duration& span, double factor) {
  span = scaled(span, factor);
}

void scale(std::vector<body::IntervalPoint>& points, double factor) {
  for (auto& [exposure, interval] : points) interval = exposure + scaled(interval - exposure, factor);
}

}  // namespace

body::Profile detuned(body::Profile profile, double factor) {
  scale(profile.setting_times.shutter, factor);
  scale(profile.setting_times.aperture, factor);
  scale(profile.setting_times.iso, factor);
  scale(profile.setting_times.drive, factor);
  scale(profile.release.typical, factor);
  scale(profile.release.jitter, factor);
  scale(profile.readout, factor);
  scale(profile.single, factor);
  scale(profile.continuous, factor);
  profile.write_rate.value /= factor;
  return profile;
}

}  // namespace noonfall::sim
