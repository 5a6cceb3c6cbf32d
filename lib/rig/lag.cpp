#include "lib/rig/lag.h"

#include <algorithm>

#include "lib/body/model.h"

namespace noonfall::rig {
namespace {

constexpr int frames_until_trusted = 8;

}  // namespace

Lag::Lag(const body::ReleaseLag& claimed)
    : jitter_{claimed.jitter},
      least_{body::trusted_lag(claimed).least},
      most_{body::trusted_lag(claimed).most} {}

void Lag::saw(Duration lag) {
  least_seen_ = std::min(least_seen_, lag);
  most_seen_ = std::max(most_seen_, lag);
  if (++seen_ < frames_until_trusted) return;
  // Anything seen lies within one body's spread, at most twice the jitter wide and itself 30 % uncertain; so
  // the unseen ends lie no further out than this.
  const auto spread = jitter_ * 26 / 10;
  least_ = std::max(std::min(least_seen_, most_seen_ - spread), Duration{0});
  most_ = std::max(most_seen_, least_seen_ + spread);
}

}  // namespace noonfall::rig
