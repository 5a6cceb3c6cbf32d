#include "daemon/worker/body_identity.h"

#include <fmt/format.h>

#include "lib/body/profile_text.h"
#include "lib/shotlog/checksum.h"

namespace noonfall::worker {

BodyIdentity simulated_identity(const body::Profile& profile, const SimulatedTraits& traits) {
  return {
      profile.name, shotlog::sha256_text(body::to_text(profile)),
      fmt::format("simulated, {}, seed {}, detune {}", to_text(traits.files), traits.seed, traits.detune)};
}

std::string to_text(body::Files files) {
  switch (files) {
    case body::Files::raw:
      return "raw";
    case body::Files::jpeg:
      return "jpeg";
    case body::Files::raw_and_jpeg:
      break;
  }
  return "raw+jpeg";
}

}  // namespace noonfall::worker
