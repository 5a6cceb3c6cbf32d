// The wish that this process end, told to every thread.
#pragma once

#include <atomic>

#include "daemon/worker/wait.h"

namespace noonfall::worker {

class StopSignal {
 public:
  void request() {
    requested_ = true;
    bell_.ring();
  }
  [[nodiscard]] bool requested() const { return requested_; }
  /// Rings for good once requested.
  [[nodiscard]] const Bell& bell() const { return bell_; }

 private:
  std::atomic<bool> requested_ = false;
  Bell bell_;
};

}  // namespace noonfall::worker
