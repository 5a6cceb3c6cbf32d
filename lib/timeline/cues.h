// What is said when: the plan's own cues, and those that come by themselves.
#pragma once

#include <string_view>

#include "lib/timeline/given.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// About 14 characters a second and a breath (common practice, no source).
[[nodiscard]] Duration speech_time(std::string_view words);

/// Filter cues for the windows, hands-on cues for the spans, a cue at each step of a rig by hand, and the
/// plan's. By their end. Two that would be spoken over each other are a warning, and so are hands wanted in
/// two places.
void make_cues(const Given& given, Timeline& timeline, Diagnostics& findings);

}  // namespace noonfall::timeline
