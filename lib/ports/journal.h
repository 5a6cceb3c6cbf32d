// Where the shot log goes.
#pragma once

#include "lib/shotlog/line.h"

namespace noonfall::ports {

/// Takes lines in their order. Returns without waiting for a disk, and never fails the caller: what can't be
/// written is the implementation's alarm to raise, and the shooting goes on.
class Journal {
 public:
  virtual ~Journal() = default;
  virtual void append(const shotlog::Line& line) = 0;
};

}  // namespace noonfall::ports
