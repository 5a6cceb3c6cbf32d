// A camera worker at work: one process, one rig, one simulated body.
#pragma once

#include <iosfwd>

#include "daemon/worker/camera_options.h"

namespace noonfall::worker {

/// Until told to stop, or long alone. The exit code: 0; with reasons in `err` 1 for what is wrong in
/// the profile or the faults, 3 for the environment. Blocks the signals
/// that end it in the calling thread and all it starts.
[[nodiscard]] int serve(const CameraOptions& options, std::ostream& err);

}  // namespace noonfall::worker
