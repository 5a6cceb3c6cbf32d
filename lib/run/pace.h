// How a body's real pace compares with its profile's, learned as the frames come in.
#pragma once

#include "lib/time/utc.h"

namespace noonfall::run {

/// A ratio of real to predicted time between shutter openings, the recent past counting most.
class Pace {
 public:
  void saw(Duration predicted, Duration real);
  /// `predicted` as long as it will really take.
  [[nodiscard]] Duration stretched(Duration predicted) const;

 private:
  double predicted_s_ = 0;
  double real_s_ = 0;
};

}  // namespace noonfall::run
