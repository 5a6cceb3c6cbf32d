#include "lib/base/plain_text.h"
#include "lib/report/report.h"

namespace noonfall::report {
namespace {

void make_plain(std::string& text) {
  text = plain_line(text);
}

void make_plain(std::map<std::string, int>& reasons) {
  std::map<std::string, int> plain;
  for (const auto& [why, times] : reasons) plain[plain_line(why)] += times;
  reasons = std::move(plain);
}

}  // namespace

Summary shown(Summary summary) {
  make_plain(summary.header.title);
  for (auto& step : summary.steps) {
    for (auto* text : {&step.rig, &step.planned.step, &step.planned.subject}) make_plain(*text);
    make_plain(step.reasons);
  }
  for (auto& window : summary.windows) make_plain(window.rig);
  for (auto& gap : summary.gaps) make_plain(gap.rig);
  return summary;
}

}  // namespace noonfall::report
