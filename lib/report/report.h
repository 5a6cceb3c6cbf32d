// A summary as text for a person, and as CSV for a spreadsheet.
#pragma once

#include <functional>
#include <string>

#include "lib/report/summary.h"

namespace noonfall::report {

/// The time of day at the site ("10:51:12.3"); empty function: UTC only.
using LocalClock = std::function<std::string(Utc)>;

[[nodiscard]] std::string to_text(const Summary& summary, const LocalClock& local);

/// One row a step and rig: header
/// rig,step,plan_line,subject,filter,from_utc,until_utc,planned_sets,planned_frames,whole_sets,fired,failed,unknown,
/// skipped,cancelled,open,median_late_ms,most_late_ms,reasons
[[nodiscard]] std::string to_csv(const Summary& summary);

}  // namespace noonfall::report
