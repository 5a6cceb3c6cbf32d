// From a plan's text to a rehearsal, for the tests of this folder.
#pragma once

#include <string>

#include "lib/timeline/timeline.h"
#include "sim/rehearse/rehearsal.h"

namespace noonfall::sim {

/// A long rig with everything a totality needs, at an invented site on the path of 2027-08-02.
extern const std::string two_minute_drill;

/// The timeline of a plan that must be without errors, with the shipped bodies.
[[nodiscard]] timeline::Timeline timeline_of(const std::string& plan_text);

/// A setup of the plan with the faults of a script, which may be empty.
[[nodiscard]] RehearsalSetup setup_of(const std::string& plan_text, const std::string& fault_script = {});

/// How often each frame stands in the log with each last word, and the like.
struct Counts {
  int intents = 0;
  int fired = 0;
  int failed = 0;
  int unknown = 0;
  int cancelled = 0;
  int skipped_of_intended = 0;
  int skipped_unintended = 0;
};
[[nodiscard]] Counts count(const Rehearsed& rehearsed);

}  // namespace noonfall::sim
