// A step of the timeline in a line of words.
#pragma once

#include <string>

#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// "3 frames 1/2000 to 1/500 f/8 ISO 400".
[[nodiscard]] std::string set_text(const SetShape& shape);

/// "crescent in: 3 frames 1/2000 to 1/500 f/8 ISO 400, every 5 min, 12 sets until C2 - 1 min 40 s".
[[nodiscard]] std::string step_text(const RigStep& step, const contacts::Circumstances& sky);

}  // namespace noonfall::timeline
