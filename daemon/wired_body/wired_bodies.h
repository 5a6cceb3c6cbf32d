// The simulated bodies at the ends of a run's cables: a process each, which outlives the daemon as workers
// do.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "daemon/worker/body_identity.h"
#include "lib/base/result.h"
#include "lib/time/utc.h"

namespace noonfall::wired_body {

struct WiredBodySetup {
  std::string executable;  // noonfall-body
  std::string folder;      // the run folder, absolute
  std::int32_t rig = 0;
  std::string profile;  // a file
  worker::SimulatedTraits traits;
  std::string serial;
  std::string faults;  // a file, or empty for none
  std::string record;
  std::string sky;  // of its small pictures, likewise
};

/// Starts it, or finds it running, and waits until it listens. Rigs alternate between families a and b. It
/// ends by itself when no host has had it open for longer than a worker waits for its daemon.
[[nodiscard]] Result<void> plug_in(const WiredBodySetup& setup);

/// Told to end, killed when one hasn't within `patience`.
void unplug_all(const std::string& folder, Duration patience = std::chrono::seconds{5});

/// What a worker's environment needs so that the camera library sees these bodies, and them alone. `drivers`
/// is the folder of our port driver.
[[nodiscard]] std::vector<std::string> wired_variables(const std::string& folder, const std::string& drivers);

/// A number such as bodies have.
[[nodiscard]] std::string wired_serial(std::int32_t rig);

}  // namespace noonfall::wired_body
