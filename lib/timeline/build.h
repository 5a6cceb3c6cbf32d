// Plan, contacts and body profiles in, timeline out, with every reason why it can't be shot as written.
#pragma once

#include <optional>

#include "lib/base/diagnostic.h"
#include "lib/timeline/given.h"
#include "lib/timeline/steps.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

struct Built {
  std::optional<Timeline> timeline;  // empty when there are errors
  Diagnostics findings;              // all of them, by their place in the plan
};

[[nodiscard]] Built build(const plan::Plan& plan, const contacts::Circumstances& sky,
                          const Profiles& profiles, const Assumptions& assumptions = {},
                          Strictness strictness = Strictness::plan_check);

}  // namespace noonfall::timeline
