// Which body a worker serves, so that a daemon come back knows whether it is still the one its plan names.
#pragma once

#include <cstdint>
#include <string>

#include "lib/body/profile.h"

namespace noonfall::worker {

struct BodyIdentity {
  std::string profile;       // by name
  std::string profile_hash;  // SHA-256 of the profile's own text, as in the shot log's header
  std::string serial;
  bool operator==(const BodyIdentity&) const = default;
};

/// What tells one simulated body from another.
struct SimulatedTraits {
  body::Files files = body::Files::raw;
  std::uint64_t seed = 1;
  double detune = 1;
};

[[nodiscard]] BodyIdentity cabled_identity(const body::Profile& profile, const std::string& serial);
[[nodiscard]] BodyIdentity simulated_identity(const body::Profile& profile, const SimulatedTraits& traits);

}  // namespace noonfall::worker
