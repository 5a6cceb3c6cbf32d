// What a camera process does when it inspects bodies instead of serving a rig.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "daemon/cameras/body_source.h"
#include "daemon/cameras/inspection_words.h"
#include "lib/rig/device.h"

namespace noonfall::cameras {

/// Where the lines go, and whether to go on: a call to the body that has begun is brought to its end.
struct Line {
  std::function<void(const Said&)> say;
  std::function<bool()> stopped;
};

/// False when it ended with an InspectionFailure, which was said.
[[nodiscard]] bool list_bodies(BodySource& source, const Line& line);

/// Says the extent, waits for `grace`, shoots the series, and says the profile.
[[nodiscard]] bool measure_body(BodySource& source, const std::string& serial, const std::string& name,
                                Duration grace, const Line& line);

/// Says what the body told of itself, then each trial.
[[nodiscard]] bool try_settings(BodySource& source, const std::string& serial,
                                const std::vector<rig::SettingsCall>& wanted, const Line& line);

}  // namespace noonfall::cameras
