// A camera worker at work: one process, one rig, one body.
#pragma once

#include <functional>
#include <memory>

#include "daemon/worker/camera_options.h"
#include "daemon/worker/line_loop.h"
#include "daemon/worker/paced_body.h"
#include "daemon/worker/wait.h"
#include "daemon/worker/worker_clock.h"
#include "lib/rig/camera.h"

namespace noonfall::worker {

/// A real body, made and used in the thread that drives it; empty where no library is there for it.
using MakeCabled = std::function<std::unique_ptr<rig::Camera>(const CameraOptions&, const body::Profile&,
                                                              WorkerClock&, const StopSignal&)>;

/// What is done with small pictures; each may be empty.
struct Eyes {
  See see;
  Draw draw;
};

/// Until told to stop, or long alone. The exit code: 0; with the reasons told, 1 for what is wrong in the
/// profile or the faults, 3 for the environment. Blocks the signals that end it in the calling thread and all
/// it starts.
[[nodiscard]] int serve(const CameraOptions& options, const MakeCabled& make_cabled, const Eyes& eyes = {});

}  // namespace noonfall::worker
