#include "daemon/worker/camera_options.h"

#include <fmt/format.h>

#include "daemon/posix/text_file.h"
#include "lib/body/profile_text.h"
#include "lib/body/shipped.h"
#include "sim/body/fault_script.h"

namespace noonfall::worker {
namespace {

constexpr std::size_t most_bytes = 1U << 20U;

Result<body::Profile> read_profile(const std::string& named) {
  // A word without a slash or a dot can only be meant for a name.
  if (named.find_first_of("/.") == std::string::npos) return body::find_shipped(named);
  const auto text = posix::read_text_file(named, most_bytes);
  if (!text) return fail(text.error());
  return body::parse_profile(*text, named);
}

/// A script whose instants are absolute, all of one rig.
Result<std::vector<sim::Fault>> read_faults(const std::string& path) {
  if (path.empty()) return std::vector<sim::Fault>{};
  const auto text = posix::read_text_file(path, most_bytes);
  if (!text) return fail(text.error());
  auto faults = sim::parse_fault_script(*text).and_then([](const std::vector<sim::ScriptedFault>& script) {
    const std::vector<std::string> rigs{script.front().rig};
    return sim::resolve_faults(script, {}, rigs);
  });
  if (faults) return faults->front();
  attach_source(faults.error(), path, *text);
  return fail(faults.error());
}

}  // namespace

BodyIdentity identity_of(const CameraOptions& options, const body::Profile& profile) {
  return options.serial.empty() ? simulated_identity(profile, options.traits)
                                : cabled_identity(profile, options.serial);
}

Result<sim::BodySetup> body_of(const CameraOptions& options) {
  auto profile = read_profile(options.profile);
  auto faults = read_faults(options.faults);
  Diagnostics errors;
  if (!profile) append(errors, profile.error());
  if (!faults) append(errors, faults.error());
  if (!errors.empty()) return fail(std::move(errors));
  return sim::BodySetup{std::move(*profile), options.traits.files, options.traits.seed, options.traits.detune,
                        std::move(*faults)};
}

}  // namespace noonfall::worker
