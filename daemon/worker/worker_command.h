// How a worker is started for a rig.
#pragma once

#include "daemon/worker/worker_link.h"
#include "daemon/worker/worker_process.h"

namespace noonfall::worker {

[[nodiscard]] WorkerCommand command_of(const WorkerSetup& setup);

}  // namespace noonfall::worker
