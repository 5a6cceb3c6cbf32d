// The exposures of a step on one rig: the plan's words made into values its body offers.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lib/base/diagnostic.h"
#include "lib/body/profile.h"
#include "lib/exposure/exposure.h"
#include "lib/plan/plan.h"

namespace noonfall::timeline {

using ExposureSets = std::vector<std::vector<exposure::Exposure>>;  // taken in turn, in shooting order

/// The rig's defaults overlaid by the step's and then each set's words. What they leave open is picked for
/// the subject from the brightness table; a range of coronal heights without a bracket is exposed for its
/// middle. Empty after an error.
[[nodiscard]] std::optional<ExposureSets> expose_step(const plan::Rig& rig, const body::Profile& profile,
                                                      const plan::Step& step, const plan::Shooting& shooting,
                                                      Diagnostics& findings);

}  // namespace noonfall::timeline
