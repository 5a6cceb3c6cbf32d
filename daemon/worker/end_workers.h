// Ends the workers that linger in a run's folder, when the run there is over for good.
#pragma once

#include <string>

#include "lib/time/utc.h"

namespace noonfall::worker {

/// Each may finish its frame; one that hasn't ended within `patience` is killed. Waits: not for the event
/// loop.
void end_workers(const std::string& folder, Duration patience = std::chrono::seconds{10});

}  // namespace noonfall::worker
