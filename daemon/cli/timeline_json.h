// A checked plan as JSON for scripts; its keys are stable.
#pragma once

#include <string>

#include "daemon/load/plan_loading.h"

namespace noonfall::cli {

/// {"errors":[…],"warnings":[…],"frames":N,"timeline":[…]} and a newline. A finding has code, file, line,
/// column (0 for no place), message and hint. The timeline is by time, entries of kind set, back_to_back,
/// hands_on, cue, filter_window and skipped; empty when there are errors.
[[nodiscard]] std::string check_json(const load::LoadedPlan& loaded);

}  // namespace noonfall::cli
