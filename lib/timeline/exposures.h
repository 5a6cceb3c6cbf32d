// The exposures of a step on one rig: the plan's words made into values its body offers, and the time that
// sets of them take.
#pragma once

#include <optional>
#include <vector>

#include "lib/base/diagnostic.h"
#include "lib/body/model.h"
#include "lib/body/profile.h"
#include "lib/exposure/exposure.h"
#include "lib/plan/plan.h"
#include "lib/timeline/light.h"
#include "lib/timeline/settings.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

using ExposureSets = std::vector<std::vector<exposure::Exposure>>;  // taken in turn, in shooting order

/// What a step's exposures are worked out for.
struct Scene {
  LightLoss light;
  Seconds longest;                            // no shutter is longer by choice
  bool counted = true;                        // false: `sky: none`
  std::optional<Duration> back_to_back = {};  // how long sets follow each other; none: sets with pauses
};

/// The rig's defaults overlaid by the step's and then each set's words. What they leave open is picked for
/// the subject from the brightness table and the light there is; a range of coronal heights without a bracket
/// gets its ladder: the best for the time there is, or equal steps where sets come with pauses. Empty after
/// an error.
[[nodiscard]] std::optional<ExposureSets> expose_step(const plan::Rig& rig, const body::Profile& profile,
                                                      const plan::Step& step, const plan::Shooting& shooting,
                                                      const Scene& scene, Diagnostics& findings);

/// The times of a bracket as the body takes them by itself.
[[nodiscard]] std::vector<exposure::Shutter> in_body_order(std::vector<exposure::Shutter> shutters,
                                                           const body::OwnBrackets& brackets);
/// Why the body can't take these as a bracket of its own; none when it can.
[[nodiscard]] std::optional<Diagnostic> why_no_own_bracket(const body::Profile& profile,
                                                           const std::vector<exposure::Shutter>& shutters,
                                                           const Whose& whose);

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
