// Waiting for an instant of the boot clock, punctually, without being deaf meanwhile.
#pragma once

#include <initializer_list>
#include <optional>

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

}  // namespace noonfall::worker
