// When the sets of a step are taken.
#pragma once

#include <vector>

#include "lib/base/result.h"
#include "lib/timeline/given.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// `step` with its instants, or for `at` with several one each; it has its name, shapes and patience. Every
/// set keeps clear of the next, and a quarter of a second clear of the end of an `every`. Errors: the span is
/// empty, far from the eclipse, too short for a set, or the sets come faster than the body takes them. The
/// pace's contacts must happen.
[[nodiscard]] Result<std::vector<RigStep>> pace_step(const Given& given, const plan::Shooting& shooting,
                                                     const RigStep& step);

}  // namespace noonfall::timeline
