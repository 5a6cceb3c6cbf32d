#include "daemon/worker/body_identity.h"

#include <fmt/format.h>

#include "lib/body/profile_text.h"
#include "lib/shotlog/checksum.h"

namespace noonfall::worker {

BodyIdentity cabled_identity(const body::Profile& profile, const std::string& serial) {
  return {profile.name, shotlog::sha256_text(body::to_text(profile)), serial};
}

BodyIdentity simulated_identity(const body::Profile& profile, const SimulatedTraits& traits) {
  return {profile.name, shotlog::sha256_text(body::to_text(profile)),
          fmt::format("simulated, {}, seed {}, detune {}", body::to_text(traits.files), traits.seed,
                      traits.detune)};
}

}  // namespace noonfall::worker
