// What a body told of itself and the trials of a plan's settings as a person reads them.
#pragma once

#include <string>
#include <vector>

#include "daemon/cameras/device_holders.h"
#include "daemon/cameras/inspection_words.h"
#include "lib/body/description.h"

namespace noonfall::cameras {

/// Several lines: what the body says, what would stop a run, what to look up on it.
[[nodiscard]] std::string to_text(const body::Description& told, const body::Demand& demand = {});
[[nodiscard]] std::string to_text(const Unopened& unopened, const std::vector<Holder>& holders);

/// A table: asked, chosen on the body, read back, how long it took.
[[nodiscard]] std::string to_text(const std::vector<SettingsTrial>& trials);

/// "1/500 f/8 ISO 200, single".
[[nodiscard]] std::string to_text(const rig::SettingsCall& settings);

}  // namespace noonfall::cameras
