// Sets of exposures with the time they take on a body.
#pragma once

#include <vector>

#include "lib/timeline/exposures.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// One shape a set, each followed by the next, the last by the first.
[[nodiscard]] std::vector<SetShape> make_shapes(const body::Profile& profile, body::Drive drive,
                                                const ExposureSets& sets);

/// `shapes` with every exposure `stops` brighter (below zero darker): by the shutter as far as the body's
/// choices go, then by ISO; what neither can give is left off.
[[nodiscard]] std::vector<SetShape> trimmed(const std::vector<SetShape>& shapes, const body::Profile& profile,
                                            body::Drive drive, Stops stops);

}  // namespace noonfall::timeline
