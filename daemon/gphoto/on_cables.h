// The real bodies within reach: one for a worker on the day, and all of them for everything before it.
#pragma once

#include <memory>

#include "daemon/cameras/body_source.h"
#include "daemon/gphoto/cabled_camera.h"
#include "daemon/worker/wait.h"
#include "daemon/worker/worker_clock.h"

namespace noonfall::gphoto {

/// For the thread that drives it; clock and stop outlive it.
[[nodiscard]] std::unique_ptr<CabledCamera> camera_on_cable(CabledSetup setup, worker::WorkerClock& clock,
                                                            const worker::StopSignal& stop);

/// All that the camera library lists, whenever it is asked.
[[nodiscard]] std::unique_ptr<cameras::BodySource> bodies_on_cables();

}  // namespace noonfall::gphoto
