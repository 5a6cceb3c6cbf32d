#include "lib/body/buffer.h"

#include <algorithm>
#include <cmath>

namespace noonfall::body {
namespace {

constexpr double rounding_mb = 1e-6;  // far below a frame; keeps "just fits" from turning on the last bit

}  // namespace

Megabytes Buffer::used(Utc at) const {
  if (used_.value <= 0 || at <= as_of_) return used_;
  return {std::max(0.0, used_.value - rate_.value * in_seconds(at - as_of_))};
}

void Buffer::add(Utc at, Megabytes frame) {
  used_ = {used(at).value + frame.value};
  as_of_ = std::max(as_of_, at);
}

int Buffer::free_frames(Utc at, Megabytes frame) const {
  const double free = capacity_.value - used(at).value + rounding_mb;
  return std::max(0, static_cast<int>(std::floor(free / frame.value)));
}

Utc Buffer::room_at(Megabytes frame) const {
  const double wanted = std::min(frame.value, capacity_.value);
  const double surplus = used_.value + wanted - capacity_.value;
  if (surplus <= rounding_mb) return as_of_;
  if (rate_.value <= 0) return Utc::max();
  return as_of_ + Duration{static_cast<std::int64_t>(std::ceil(surplus / rate_.value * 1e6))};
}

}  // namespace noonfall::body
