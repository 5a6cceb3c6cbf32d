// A summary as text and as a page for a person, as CSV for a spreadsheet, as JSON for a program.
#pragma once

#include <string>

#include "lib/report/summary.h"
#include "lib/time/zone.h"

namespace noonfall::report {

[[nodiscard]] std::string to_text(const Summary& summary, const LocalClock& local);

/// All of it, as one object.
[[nodiscard]] std::string to_json(const Summary& summary);

/// One page of XHTML that holds all it needs, for a screen and for A4.
[[nodiscard]] std::string to_html(const Summary& summary, const LocalClock& local);

/// One row a step and rig: header
/// rig,step,plan_line,subject,filter,from_utc,until_utc,planned_sets,planned_frames,whole_sets,fired,failed,unknown,
/// skipped,cancelled,open,median_late_ms,most_late_ms,reasons,
/// never_asked
[[nodiscard]] std::string to_csv(const Summary& summary);

}  // namespace noonfall::report
