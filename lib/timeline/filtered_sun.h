// What was computed for a filtered frame, beside what its picture shows.
#pragma once

#include <optional>

#include "lib/look/sun_watch.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// Empty where it isn't known where the Sun stands, or with what f-number was shot.
[[nodiscard]] std::optional<look::Sight> sight_of(const FilteredLight& light,
                                                  const contacts::Circumstances& sky,
                                                  const exposure::Exposure& exposure, Utc at,
                                                  const look::SunSeen& seen);

}  // namespace noonfall::timeline
