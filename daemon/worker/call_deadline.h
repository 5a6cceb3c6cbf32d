// How long a call to the body may take before something must be wrong with it.
#pragma once

#include "lib/body/profile.h"
#include "lib/rig/device.h"
#include "lib/time/utc.h"

namespace noonfall::worker {

/// Generous: beyond it the line or the driver hangs. `settings` are those last asked for; they rule how long
/// a release takes.
[[nodiscard]] Utc call_deadline(const rig::DeviceCall& call, const rig::SettingsCall& settings,
                                const body::Profile& profile, Utc now);

/// "settings", "release", "drain", "reopen".
[[nodiscard]] const char* call_word(const rig::DeviceCall& call);

}  // namespace noonfall::worker
