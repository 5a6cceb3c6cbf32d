// What the body can hold: its buffer, its card and its battery against the frames planned.
#pragma once

#include "lib/timeline/given.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// Fills in how many sets fit back to back, the buffer carried from step to step. Objects to back-to-back
/// steps in which no set fits, and to sets that would wait for the buffer longer than their patience; a step
/// that leave_free ends early gets a warning.
[[nodiscard]] Objections fill_buffers(const Given& given, Timeline& timeline, Diagnostics& findings);

/// Frames against the battery (a warning: it may be fed or changed) and files against 95 % of the card (an
/// error).
void check_totals(const Given& given, const Timeline& timeline, Diagnostics& findings);

}  // namespace noonfall::timeline
