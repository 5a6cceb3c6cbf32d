// One rig does one thing at a time.
#pragma once

#include "lib/timeline/given.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// From the last shutter's closing of one step to the next one's earliest opening.
[[nodiscard]] Duration change_over(const RigTimeline& rig, const RigStep& before, const RigStep& after);

/// Steps and hands-on spans that meet on a rig, and steps that leave the body no time for the next one's
/// settings. A first frame merely late within its patience is a warning. The slack that patience gives a step
/// is cut where the next begins.
[[nodiscard]] Objections check_overlaps(const Given& given, Timeline& timeline, Diagnostics& findings);

/// For the day, when contacts have moved: where two steps of a rig meet, the earlier one ends as the later
/// begins. Says so in warnings; a step that nothing is left of goes to `skipped`.
void trim_overlaps(const Given& given, Timeline& timeline, Diagnostics& warnings);

}  // namespace noonfall::timeline
