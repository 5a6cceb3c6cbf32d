// Names in a plan that must mean something, and mean one thing.
#pragma once

#include "lib/base/diagnostic.h"
#include "lib/plan/plan.h"

namespace noonfall::plan {

/// Errors for steps that name no rig or step of the plan, for step names given twice, for mirrors of mirrors,
/// and for mirrored steps with UTC instants. Looks at names only, so the rest of the plan may be half read.
[[nodiscard]] Diagnostics wrong_references(const Plan& plan);

}  // namespace noonfall::plan
