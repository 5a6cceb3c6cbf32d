// The whole timeline at another time, for a rehearsal.
#pragma once

#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// Every instant, those of the contacts included, later by `by`; where the Sun stands stays as on the day.
[[nodiscard]] Timeline moved(Timeline timeline, Duration by);

}  // namespace noonfall::timeline
