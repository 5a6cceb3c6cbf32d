// A clock that goes slower while the card is written slower, so that one buffer model serves every write
// rate.
#pragma once

#include <vector>

#include "lib/time/utc.h"
#include "sim/body/fault.h"

namespace noonfall::sim {

/// Card time is UTC until the first SlowCard fault, and advances at `rate` of UTC within each; where several
/// overlap, at the slowest.
class CardClock {
 public:
  explicit CardClock(const std::vector<Fault>& faults);

  [[nodiscard]] Utc card_time(Utc utc) const;
  /// The first instant at which the card clock shows at least `card_time`, to within its rounding to
  /// microseconds.
  [[nodiscard]] Utc utc(Utc card_time) const;

 private:
  struct Stretch {
    Utc from;
    Utc card_from;
    double rate;
  };
  std::vector<Stretch> stretches_;  // rising; before the first, the two clocks are one
};

}  // namespace noonfall::sim
