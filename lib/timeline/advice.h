// What can be shot as written but may disappoint: low Sun, trailing, shimmer.
#pragma once

#include "lib/timeline/given.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// Warnings only, one a step and cause: the Sun below or near the horizon in totality (or at mid-eclipse
/// where there is none), shutters longer than a fixed mount allows, slow frames of the filtered Sun.
void advise(const Given& given, const Timeline& timeline, Diagnostics& warnings);

}  // namespace noonfall::timeline
