// Ends the workers that linger in a run's folder, when the run there is over for good.
#pragma once

#include <string>

namespace noonfall::worker {

/// Each may finish its frame; one that hasn't ended after 10 s is killed. Waits: not for the event loop.
void end_workers(const std::string& folder);

}  // namespace noonfall::worker
