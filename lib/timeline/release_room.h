// A frame with an instant of its own needs room for the body's lag: a release is never quite on time.
#pragma once

#include "lib/timeline/given.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// Steps whose patience, or whose end, leaves a release less room than the lag it may have: the rig would
/// take none of their frames rather than one at a wrong instant. After every rule that cuts a step's `until`.
[[nodiscard]] Objections check_release_room(const Given& given, const Timeline& timeline);

}  // namespace noonfall::timeline
