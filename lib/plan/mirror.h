// Mirrored steps written out: what happens before mid-eclipse, turned around to happen after it.
#pragma once

#include <string_view>
#include <vector>

#include "lib/base/result.h"
#include "lib/plan/plan.h"

namespace noonfall::plan {

/// The instant turned around mid-eclipse: C1<->C4, C2<->C3, MID stays, signs turned. UTC instants have no
/// mirror image and stay.
[[nodiscard]] Instant mirrored(const Instant& instant);

/// The instants a step names, in its order; of a mirror, none. They live as long as the step.
[[nodiscard]] std::vector<const Instant*> instants_of(const Step& step);

/// An error for each UTC instant in a step that the step named `mirror` mirrors.
[[nodiscard]] Diagnostics instants_without_mirror(const Step& original, std::string_view mirror);

/// The plan's steps, in their order, every mirror replaced by its original turned around: instants turned,
/// first and last swapped, brackets and sets in reversed order, `every` counted from the end. It keeps the
/// mirror's name and place, the rest has the places of the original; a condition of the mirror's own replaces
/// the original's. Errors: a mirrored step with a UTC instant in it, a mirror of no step or of a mirror.
[[nodiscard]] Result<std::vector<Step>> with_mirrors_resolved(const Plan& plan);

}  // namespace noonfall::plan
