// Rigs without a solar filter: which may see the Sun, and when.
#pragma once

#include "lib/timeline/given.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// Without a filter a lens may see the uneclipsed Sun only when it is at most 35 mm long and stopped down to
/// f/8 or smaller (common practice, no source). A longer lens is an error of the plan, whatever its steps and
/// whoever releases it; a wider aperture outside certain totality is an objection to the step, unless the rig
/// is declared never to have the Sun in its frame: then anything but a landscape is an error of the plan.
/// What is allowed outside totality gets a warning.
[[nodiscard]] Objections check_bare_lenses(const Given& given, const Timeline& timeline,
                                           Diagnostics& findings);

}  // namespace noonfall::timeline
