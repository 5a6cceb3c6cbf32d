// What time it is for a cabled camera, and how it waits: a test has a time of its own.
#pragma once

#include "lib/time/utc.h"

namespace noonfall::gphoto {

class PlanTime {
 public:
  virtual ~PlanTime() = default;
  /// Never goes back.
  [[nodiscard]] virtual Utc now() = 0;
  /// Punctually, or until a stop is wanted; not at all when it is already.
  virtual void wait_until(Utc when) = 0;
  /// Whatever is wanted meanwhile.
  virtual void sleep(Duration span) = 0;
  [[nodiscard]] virtual bool stopping() const { return false; }
};

}  // namespace noonfall::gphoto
