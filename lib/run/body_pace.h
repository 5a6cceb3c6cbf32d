// How a body's real pace compares with its profile's, learned as the frames come in.
#pragma once

#include "lib/body/model.h"
#include "lib/body/profile.h"
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

/// What is known of one body beside its profile.
struct BodyPace {
  body::Buffer buffer;
  Pace single{};
  Pace burst{};  // apart: a full buffer slows bursts only

  [[nodiscard]] Pace& with(body::Drive drive) { return drive == body::Drive::continuous ? burst : single; }
  [[nodiscard]] const Pace& with(body::Drive drive) const {
    return drive == body::Drive::continuous ? burst : single;
  }
};

}  // namespace noonfall::run
