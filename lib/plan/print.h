// A plan as its text: one canonical way to write each.
#pragma once

#include <string>

#include "lib/plan/plan.h"

namespace noonfall::plan {

/// YAML that parse reads back to an equal plan. For plans as parse gives them: mirrors unresolved.
[[nodiscard]] std::string print(const Plan& plan);

}  // namespace noonfall::plan
