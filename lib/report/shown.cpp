#include "lib/base/match.h"
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

/// Of the entries that a report quotes.
void make_plain(shotlog::Entry& entry) {
  const auto all = [](auto&... texts) { (make_plain(texts), ...); };
  std::visit(Match{[&](shotlog::Fault& fault) { all(fault.rig, fault.why); },
                   [&](shotlog::CueSpoken& cue) { all(cue.words, cue.why); },
                   [&](shotlog::CommandLine& command) { all(command.words, command.why); },
                   [&](shotlog::FilterChange& change) { all(change.rig, change.why); },
                   [&](shotlog::ClockLine& clock) { all(clock.why); },
                   [&](shotlog::Amendment& amendment) { all(amendment.why); },
                   [&](shotlog::Note& note) { all(note.words); }, [](auto&) {}},
             entry);
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
  for (auto& line : summary.happenings) make_plain(line.entry);
  return summary;
}

}  // namespace noonfall::report
