// The body below a rig.
#pragma once

#include "lib/rig/device.h"
#include "lib/time/utc.h"

namespace noonfall::ports {

/// One call at a time, each answered exactly once. A real body's implementation blocks until it can answer or
/// its deadline has passed, and returns then; a simulated one returns at once with an answer dated in the
/// future. After `gone` every call but ReopenCall answers `gone`. Not for use from two threads.
class Camera {
 public:
  virtual ~Camera() = default;
  [[nodiscard]] virtual rig::DeviceAnswer answer(const rig::DeviceCall& call, Utc now) = 0;
};

}  // namespace noonfall::ports
