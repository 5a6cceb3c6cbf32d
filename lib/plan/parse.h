// A plan out of its text: all of format version 1, all errors at once.
#pragma once

#include <string_view>

#include "lib/base/result.h"
#include "lib/plan/plan.h"

namespace noonfall::plan {

/// The plan, or every error in order of place. The result's names are known, its numbers in range, its
/// mirrors resolvable (mirror.h); whether it can be shot is the timeline's to say.
[[nodiscard]] Result<Plan> parse(std::string_view text);

}  // namespace noonfall::plan
