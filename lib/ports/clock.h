// What time it is, and how far that can be trusted.
#pragma once

#include "lib/shotlog/line.h"
#include "lib/time/utc.h"

namespace noonfall::ports {

class Clock {
 public:
  virtual ~Clock() = default;
  /// Never goes back, whatever happens to the system's clock.
  [[nodiscard]] virtual Utc now() const = 0;
  [[nodiscard]] virtual shotlog::ClockState state() const = 0;
};

}  // namespace noonfall::ports
