// What is tried to bring a lost body back, and when the next thing is.
#pragma once

#include <cstddef>
#include <optional>

#include "lib/order/order.h"
#include "lib/time/utc.h"

namespace noonfall::run {

/// Rung by rung while the body is away, and then from the first again.
class RecoveryLadder {
 public:
  struct Attempt {
    order::Recover recover;
    const char* words = nullptr;  // for the log and the person; none for the first
  };

  void body_is(bool ready);
  [[nodiscard]] bool away() const { return away_; }
  /// What is due now, if anything.
  [[nodiscard]] std::optional<Attempt> advance(Utc now);
  /// While the body is away.
  [[nodiscard]] Utc next_attempt() const { return until_; }

 private:
  bool away_ = false;
  Utc until_ = Utc::min();
  std::size_t attempts_ = 0;  // since the body went
};

}  // namespace noonfall::run
