// The spans in which a person is at a rig.
#pragma once

#include "lib/timeline/given.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// One span for each rig of each hands-on step, those of one step together. Rigs must be made.
void make_hands_on_spans(const Given& given, Timeline& timeline, Diagnostics& findings);

}  // namespace noonfall::timeline
