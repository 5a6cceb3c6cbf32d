#include "lib/run/body_pace.h"

#include <algorithm>

namespace noonfall::run {
namespace {

// What was seen this much frame time ago counts half: long enough for a whole bracket, short enough to follow
// a card that slows down.
constexpr double half_life_s = 15;
constexpr double slowest = 10;

}  // namespace

void Pace::saw(Duration predicted, Duration real) {
  if (predicted <= Duration{0} || real <= Duration{0}) return;
  const double fade = half_life_s / (half_life_s + in_seconds(predicted));
  predicted_s_ = predicted_s_ * fade + in_seconds(predicted);
  real_s_ = real_s_ * fade + in_seconds(real);
}

Duration Pace::stretched(Duration predicted) const {
  if (predicted_s_ <= 0) return predicted;
  return from_seconds(in_seconds(predicted) * std::min(real_s_ / predicted_s_, slowest));
}

}  // namespace noonfall::run
