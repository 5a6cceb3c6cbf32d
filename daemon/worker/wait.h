// How the threads of a worker wait: for an instant, punctually, without being deaf to each other meanwhile.
#pragma once

#include <atomic>
#include <initializer_list>
#include <iterator>
#include <mutex>
#include <optional>
#include <utility>
#include <vector>

#include "daemon/posix/file_descriptor.h"
#include "lib/time/boot_clock.h"

namespace noonfall::worker {

/// What one thread wakes another by. Readable from ring() to clear().
class Bell {
 public:
  Bell();
  void ring();
  void clear();
  [[nodiscard]] int descriptor() const { return event_.get(); }

 private:
  posix::FileDescriptor event_;
};

/// Returns at `when` (never, without one), or earlier when one of the bells rings. Over the last 20 ms it
/// sleeps and hears nothing, which is what makes it punctual.
void wait_until(std::optional<BootTime> when, std::initializer_list<const Bell*> bells);

/// The wish that this process end, told to every thread.
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

/// Values from one thread to another, with a bell that tells of them.
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

/// Readable once SIGTERM or SIGINT came. From then on a lost terminal, a peer gone in mid-word or a limit
/// on files ends nothing. For the main thread, before there are others.
[[nodiscard]] posix::FileDescriptor take_end_signals();

}  // namespace noonfall::worker
