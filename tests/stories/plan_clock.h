// The plan's clock as the daemon and its workers read it: put back it stands still, it never goes back.
#pragma once

#include <algorithm>

#include "lib/time/utc.h"

namespace noonfall::stories {

class PlanClock {
 public:
  void pass_to(Utc truth) { truth_ = std::max(truth_, truth); }
  void jump(Duration by) { ahead_ += by; }

  [[nodiscard]] Utc truth() const { return truth_; }
  [[nodiscard]] Utc reads() const { return truth_ + ahead_; }
  [[nodiscard]] Utc now() { return latest_ = std::max(latest_, reads()); }
  [[nodiscard]] Utc true_time(Utc by_plan) const { return std::max(truth_, by_plan - ahead_); }
  [[nodiscard]] Utc by_plan(Utc truth) const { return truth + ahead_; }

 private:
  Utc truth_ = Utc::min();
  Duration ahead_{};
  Utc latest_ = Utc::min();
};

}  // namespace noonfall::stories
