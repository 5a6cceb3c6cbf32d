#include <fmt/format.h>

#include "lib/report/report.h"
#include "lib/time/utc_text.h"

namespace noonfall::report {
namespace {

/// Quoted as RFC 4180 says, always, so that names never break a row.
std::string quoted(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + '"';
}

std::string reasons_text(const std::map<std::string, int>& reasons) {
  std::string out;
  for (const auto& [why, times] : reasons)
    out += fmt::format("{}{} x {}", out.empty() ? "" : "; ", times, why);
  return out;
}

}  // namespace

std::string to_csv(const Summary& summary) {
  std::string out =
      "rig,step,plan_line,subject,filter,from_utc,until_utc,planned_sets,planned_frames,whole_sets,fired,"
      "failed,"
      "unknown,skipped,cancelled,open,median_late_ms,most_late_ms,reasons,never_asked\n";
  for (const auto& step : summary.steps) {
    const auto& plan = step.planned;
    const auto& n = step.frames;
    out += fmt::format("{},{},{},{},{},{},{},{},{},{},{},{},{},{},{},{},{:.1f},{:.1f},{},{}\n",
                       quoted(step.rig), quoted(plan.step), plan.plan_line, quoted(plan.subject),
                       plan.filtered ? "on" : "off", noonfall::to_text(plan.from),
                       noonfall::to_text(plan.until), plan.sets, plan.frames, step.whole_sets, n.fired,
                       n.failed, n.unknown, n.skipped, n.cancelled, n.open, in_milliseconds(step.median_late),
                       in_milliseconds(step.most_late), quoted(reasons_text(step.reasons)), step.never_asked);
  }
  return out;
}

}  // namespace noonfall::report
