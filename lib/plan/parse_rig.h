// One rig of a plan.
#pragma once

#include "lib/plan/plan.h"
#include "lib/yaml/field.h"

namespace noonfall::plan {

/// `entry` is the rig's entry under `rigs`. Errors go to `findings`; what they concern keeps its default.
[[nodiscard]] Rig read_rig(const yaml::Entry& entry, Diagnostics& findings);

/// `filter: {…}` of a rig, not `none`.
[[nodiscard]] Filter read_filter(const yaml::Field& field);

}  // namespace noonfall::plan
