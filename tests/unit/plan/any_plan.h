// Any plan that parse could give, for properties.
#pragma once

#include "lib/plan/plan.h"

namespace noonfall::plan {

/// Draws from RapidCheck: call it inside rc::check.
Plan any_plan();

}  // namespace noonfall::plan
