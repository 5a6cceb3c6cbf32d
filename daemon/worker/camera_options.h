// What a camera worker is told on its command line, and the body made of it.
#pragma once

#include <cstdint>
#include <string>

#include "daemon/worker/body_identity.h"
#include "lib/base/result.h"
#include "lib/body/profile.h"
#include "sim/body/simulated_body.h"

namespace noonfall::worker {

struct CameraOptions {
  std::string socket_folder;
  std::int32_t rig = 0;
  std::string profile;  // a shipped profile's name, or a file
  std::string serial;   // of a real body; empty: a simulated one
  std::string spare;    // of one that may take its place, or empty
  SimulatedTraits traits;
  std::string faults;  // each of these: a file, or empty for none
  std::string record;
  std::string lock;
  double linger_s = 60;
};

/// The real body to look for, or the simulated one's traits, as a daemon has to know it again.
[[nodiscard]] BodyIdentity identity_of(const CameraOptions& options, const body::Profile& profile);

/// Reads the profile and the faults. Errors name their file and place.
[[nodiscard]] Result<sim::BodySetup> body_of(const CameraOptions& options);

}  // namespace noonfall::worker
