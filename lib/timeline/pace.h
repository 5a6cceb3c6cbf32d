// When the sets of a step are taken.
#pragma once

#include <optional>
#include <vector>

#include "lib/base/result.h"
#include "lib/timeline/given.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// A run of sets at their instants. Back to back there are no targets. `until`: every shutter closed by then.
struct Paced {
  Utc from;
  Utc until;
  bool back_to_back = false;
  std::vector<Target> targets;  // by due instant
  bool operator==(const Paced&) const = default;
};

/// What pace_step has to know of the step beside its pace.
struct PaceNeeds {
  const std::string& name;              // for the messages
  const std::vector<SetShape>& shapes;  // taken in turn, at least one
  Duration patience{};
};

/// One Paced, or for `at` with several instants one each. Every set keeps clear of the next, and a
/// quarter of a second clear of the end of an `every`. Errors: the span
/// is empty, far from the eclipse, too short for a set, or the sets come faster than the body takes them. The
/// pace's contacts must happen.
[[nodiscard]] Result<std::vector<Paced>> pace_step(const Given& given, const plan::Shooting& shooting,
                                                   const PaceNeeds& needs);

}  // namespace noonfall::timeline
