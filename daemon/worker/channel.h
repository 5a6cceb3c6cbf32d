// Values from one thread to another, with a bell that tells of them.
#pragma once

#include <iterator>
#include <mutex>
#include <utility>
#include <vector>

#include "daemon/worker/wait.h"

namespace noonfall::worker {

template <class T>
class Channel {
 public:
  void put(std::vector<T> values) {
    {
      const std::lock_guard lock{mutex_};
      values_.insert(values_.end(), std::make_move_iterator(values.begin()),
                     std::make_move_iterator(values.end()));
    }
    bell_.ring();
  }
  /// Wakes the other thread without a value: something it reads elsewhere has changed.
  void nudge() { bell_.ring(); }

  [[nodiscard]] std::vector<T> take() {
    bell_.clear();
    const std::lock_guard lock{mutex_};
    return std::exchange(values_, {});
  }
  [[nodiscard]] const Bell& bell() const { return bell_; }

 private:
  std::mutex mutex_;
  std::vector<T> values_;
  Bell bell_;
};

}  // namespace noonfall::worker
