// The frames of back-to-back steps that were planned and never asked for, and why.
#pragma once

#include <vector>

#include "lib/report/summary.h"
#include "lib/shotlog/account.h"
#include "lib/time/utc.h"

namespace noonfall::report {

/// Counts what is at least a set short of the plan, and, where nothing in the log explains it, more than a
/// tenth: how many sets fit is a prediction. A step that a log until `until` doesn't tell in full is passed
/// over. `away` is the step's rig's.
void add_never_asked(StepSummary& step, Utc until, const std::vector<shotlog::Away>& away);

}  // namespace noonfall::report
