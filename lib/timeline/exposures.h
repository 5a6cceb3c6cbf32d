// The exposures of a step on one rig: the plan's words made into values its body offers, and the time that
// sets of them take.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lib/base/diagnostic.h"
#include "lib/body/model.h"
#include "lib/body/profile.h"
#include "lib/exposure/exposure.h"
#include "lib/plan/plan.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

using ExposureSets = std::vector<std::vector<exposure::Exposure>>;  // taken in turn, in shooting order

/// The rig's defaults overlaid by the step's and then each set's words. What they leave open is picked for
/// the subject from the brightness table; a range of coronal heights without a bracket is exposed for its
/// middle. Empty after an error.
[[nodiscard]] std::optional<ExposureSets> expose_step(const plan::Rig& rig, const body::Profile& profile,
                                                      const plan::Step& step, const plan::Shooting& shooting,
                                                      Diagnostics& findings);

/// One shape a set, each followed by the next, the last by the first.
[[nodiscard]] std::vector<SetShape> make_shapes(const body::Profile& profile, body::Drive drive,
                                                const ExposureSets& sets);

/// `shapes` with every exposure `stops` brighter (below zero darker): by the shutter as far as the body's
/// choices go, then by ISO; what neither can give is left off.
[[nodiscard]] std::vector<SetShape> trimmed(const std::vector<SetShape>& shapes, const body::Profile& profile,
                                            body::Drive drive, Stops stops);

/// How many sets of a back-to-back step, begun at `from`, its span and the body's buffer have room for.
[[nodiscard]] body::Fit fit_sets(const RigTimeline& rig, const RigStep& step, Utc from,
                                 const body::Buffer& buffer);

}  // namespace noonfall::timeline
