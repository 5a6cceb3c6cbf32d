// A summary as text for a person, and as CSV for a spreadsheet.
#pragma once

#include <string>

#include "lib/report/summary.h"
#include "lib/time/zone.h"

namespace noonfall::report {

[[nodiscard]] std::string to_text(const Summary& summary, const LocalClock& local);

/// One row a step and rig: header
/// rig,step,plan_line,subject,filter,from_utc,until_utc,planned_sets,planned_frames,whole_sets,fired,failed,unknown,
/// skipped,cancelled,open,median_late_ms,most_late_ms,reasons,
/// never_asked
[[nodiscard]] std::string to_csv(const Summary& summary);

}  // namespace noonfall::report
