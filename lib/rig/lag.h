// How long a body takes from the release call to first light: what its profile claims, corrected by what it
// does.
#pragma once

#include "lib/body/profile.h"
#include "lib/time/utc.h"

namespace noonfall::rig {

/// Bounds of the release lag. Until a few frames have been seen, the profile is trusted to within 30 % only,
/// so that a body faster or slower than its profile opens no shutter before `earliest` or after `latest`.
class Lag {
 public:
  explicit Lag(const body::ReleaseLag& claimed);

  /// A release at t opens the shutter within t + least() … t + most().
  [[nodiscard]] Duration least() const { return least_; }
  [[nodiscard]] Duration most() const { return most_; }

  void saw(Duration lag);

 private:
  Duration jitter_;
  Duration least_;
  Duration most_;
  Duration least_seen_ = Duration::max();
  Duration most_seen_{};
  int seen_ = 0;
};

}  // namespace noonfall::rig
