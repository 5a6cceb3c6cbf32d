// Who speaks the cues.
#pragma once

#include "lib/run/input_output.h"

namespace noonfall::ports {

/// Speaks so that the words end at their instant, or not at all. Returns at once; without a sound device the
/// words go wherever else a person sees them.
class Voice {
 public:
  virtual ~Voice() = default;
  virtual void speak(const run::Announcement& words) = 0;
};

}  // namespace noonfall::ports
