// The rules that every step keeps beside its filter's: each objects to the steps that break it, or finds
// something wrong with the plan.
#pragma once

#include <optional>
#include <utility>

#include "lib/timeline/given.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// Asks the rule `why_not(rig's index, step)` of every step.
template <class AnyTimeline, class Rule>
[[nodiscard]] Objections object_to_steps(AnyTimeline& timeline, Rule why_not) {
  Objections objections;
  for (std::size_t r = 0; r < timeline.rigs.size(); ++r) {
    auto& steps = timeline.rigs[r].steps;
    for (std::size_t s = 0; s < steps.size(); ++s)
      if (std::optional<Diagnostic> why = why_not(r, steps[s])) objections.push_back({r, s, std::move(*why)});
  }
  return objections;
}

/// Rigs without a solar filter. A lens may see the uneclipsed Sun only when it is at most 35 mm long and
/// stopped down to f/8 or smaller (common practice, no source). A longer lens is an error of the plan,
/// whatever its steps and whoever releases it; a wider aperture outside certain totality is an objection to
/// the step, unless the rig is declared never to have the Sun in its frame: then anything but a landscape is
/// an error of the plan. What is allowed outside totality gets a warning.
[[nodiscard]] Objections check_bare_lenses(const Given& given, const Timeline& timeline,
                                           Diagnostics& findings);

/// From the last shutter's closing of one step to the next one's earliest opening.
[[nodiscard]] Duration change_over(const RigTimeline& rig, const RigStep& before, const RigStep& after);

/// One rig does one thing at a time: steps and hands-on spans that meet on a rig, and steps that leave the
/// body no time for the next one's settings. A first frame merely late within its patience is a warning. The
/// slack that patience gives a step is cut where the next begins.
[[nodiscard]] Objections check_overlaps(const Given& given, Timeline& timeline, Diagnostics& findings);

/// For the day, when contacts have moved: where two steps of a rig meet, the earlier one ends as the later
/// begins. Says so in warnings; a step that nothing is left of goes to `skipped`.
void trim_overlaps(const Given& given, Timeline& timeline, Diagnostics& warnings);

/// A release is never quite on time. Steps whose patience, or whose end, leaves a release less room than the
/// lag it may have: the rig would take none of their frames rather than one at a wrong instant. After every
/// rule that cuts a step's `until`.
[[nodiscard]] Objections check_release_room(const Given& given, const Timeline& timeline);

/// Fills in how many sets fit back to back, the buffer carried from step to step. Objects to back-to-back
/// steps in which no set fits, and to sets that would wait for the buffer longer than their patience; a step
/// that leave_free ends early gets a warning.
[[nodiscard]] Objections fill_buffers(const Given& given, Timeline& timeline, Diagnostics& findings);

/// Frames against the battery (a warning: it may be fed or changed) and files against 95 % of the card (an
/// error).
void check_totals(const Given& given, const Timeline& timeline, Diagnostics& findings);

/// What the frames of the corona will be worth when stacked. After fill_buffers.
void weigh_corona(const Given& given, Timeline& timeline);

/// What can be shot as written but is hardly meant: exposures more than 3 stops from the table, brackets that
/// don't reach their subject, more than 5 s of totality without a frame, beads within the uncertainty of
/// their contact (warnings); one body on two rigs (an error).
void doubt(const Given& given, const Timeline& timeline, Diagnostics& findings);

/// What can be shot as written but may disappoint. Warnings only, one a step and cause: the Sun below or near
/// the horizon in totality (or at mid-eclipse where there is none), shutters longer than a fixed mount
/// allows, slow frames of the filtered Sun.
void advise(const Given& given, const Timeline& timeline, Diagnostics& warnings);

}  // namespace noonfall::timeline
