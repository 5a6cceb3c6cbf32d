// The frames of back-to-back steps that were planned and never asked for, and why.
#pragma once

#include <string>
#include <vector>

#include "lib/report/summary.h"
#include "lib/shotlog/line.h"
#include "lib/time/utc.h"

namespace noonfall::report {

/// A body was off the line.
struct Away {
  std::string rig;
  Utc from;
  Utc until;
  std::string why;
};

[[nodiscard]] std::vector<Away> times_away(const std::vector<shotlog::Line>& lines);

/// Counts what is at least a set short of the plan, and, where nothing in the log explains it, more than a
/// tenth: how many sets fit is a prediction. A step that a log until `until` doesn't tell in full is passed
/// over.
void add_never_asked(StepSummary& step, Utc until, const std::vector<Away>& away);

}  // namespace noonfall::report
