#include <algorithm>
#include <numeric>

#include <fmt/format.h>

#include "lib/base/plain_text.h"
#include "lib/report/report.h"
#include "lib/time/utc_text.h"

namespace noonfall::report {
namespace {

std::string when(Utc instant, const LocalClock& local) {
  const auto utc = to_clock_text(instant, 1);
  return local ? fmt::format("{} ({} UTC)", local(instant), utc) : utc + " UTC";
}

/// Whose C2 and C3 these are; a partial eclipse has none.
std::string edge(const shotlog::Header& h) {
  if (h.kind != contacts::Kind::total && h.kind != contacts::Kind::annular) return {};
  return h.limb == "profile" ? "  C2 and C3 follow the mountains of the Moon's edge.\n"
                             : "  C2 and C3 are of the mean limb, a Moon without mountains.\n";
}

std::string heading(const Summary& s, const LocalClock& local) {
  const auto& h = s.header;
  std::string out = fmt::format("{}: {} eclipse of {}, {}\n", h.title, contacts::to_text(h.kind),
                                noonfall::to_text(h.eclipse),
                                h.mode == shotlog::Mode::event   ? "the event"
                                : h.mode == shotlog::Mode::dress ? "a dress rehearsal"
                                                                 : "a rehearsal on simulated bodies");
  for (const auto& contact : h.contacts) {
    out += fmt::format("  {:<4}{}  ± {:.1f} s\n", contacts::to_text(contact.name), when(contact.utc, local),
                       in_seconds(contact.uncertainty));
  }
  return out + edge(h) + '\n';
}

std::string verdict(const Summary& s) {
  const auto& n = s.total;
  auto out = fmt::format("{} frames shot, {} planned", n.fired, s.planned_frames);
  const auto add = [&](int count, std::string_view word) {
    if (count > 0) out += fmt::format(", {} {}", count, word);
  };
  add(n.skipped, "skipped");
  add(n.failed, "failed");
  add(n.unknown, "unknown");
  add(n.cancelled, "cancelled");
  add(n.open, "without an answer in the log");
  add(std::accumulate(s.steps.begin(), s.steps.end(), 0,
                      [](int sum, const StepSummary& step) { return sum + step.never_asked; }),
      "never asked for");
  out += ".\n";
  if (!s.complete) out += "The log ends before the plan does: the run was cut off or is still going.\n";
  if (s.torn_tail) out += "The last line was torn, as after a power cut; everything before it is sound.\n";
  if (s.damaged_lines == 1) out += "1 line of the log is damaged and was left out.\n";
  if (s.damaged_lines > 1)
    out += fmt::format("{} lines of the log are damaged and were left out.\n", s.damaged_lines);
  return out + '\n';
}

/// The last column with what is before it.
std::string late_text(const StepSummary& step) {
  if (step.by_hand) return "  by hand";
  if (step.planned.back_to_back || step.frames.fired == 0) return "";
  return fmt::format("  {:.0f} / {:.0f} ms", in_milliseconds(step.median_late),
                     in_milliseconds(step.most_late));
}

/// Columns as wide as their widest cell.
std::string table(const Summary& s, const LocalClock& local) {
  std::size_t rig_width = 3;
  std::size_t step_width = 4;
  for (const auto& step : s.steps) {
    rig_width = std::max(rig_width, step.rig.size());
    step_width = std::max(step_width, step.planned.step.size());
  }
  auto out = fmt::format("{:<8}  {:<{}}  {:<{}}  {:>7} {:>6} {:>6} {:>8}  {}\n", local ? "local" : "UTC",
                         "rig", rig_width, "step", step_width, "planned", "shot", "missed", "sets",
                         "late, half / all within");
  for (const auto& step : s.steps) {
    const auto& n = step.frames;
    out += fmt::format(
        "{:<8}  {:<{}}  {:<{}}  {:>7} {:>6} {:>6} {:>8}{}\n",
        local ? local(step.planned.from).substr(0, 8) : to_clock_text(step.planned.from, 0), step.rig,
        rig_width, step.planned.step, step_width, step.planned.frames, n.fired,
        n.asked() - n.fired + step.never_asked,
        step.by_hand ? std::string{"-"} : fmt::format("{}/{}", step.whole_sets, step.planned.sets),
        late_text(step));
  }
  return out + '\n';
}

std::string reasons(const Summary& s) {
  std::string out;
  for (const auto& step : s.steps) {
    for (const auto& [why, times] : step.reasons) {
      out += step.left_out && step.frames == shotlog::Tally{}
                 ? fmt::format("  {}, {}: left out, {}\n", step.rig, step.planned.step, why)
                 : fmt::format("  {}, {}: {} x {} (plan line {})\n", step.rig, step.planned.step, times, why,
                               step.planned.plan_line);
    }
  }
  return out.empty() ? "" : "Not as planned:\n" + out + '\n';
}

std::string unfiltered_frames(const WindowSummary& w) {
  if (w.outside == 0 && w.unknown == 0)
    return fmt::format("  {} unfiltered frames, every one inside it with the handling time to spare.\n",
                       w.inside);
  auto out = fmt::format("  {} unfiltered frames inside it", w.inside);
  out += w.outside > 0 ? fmt::format(" and {} OUTSIDE: check the lens and the sensor.\n", w.outside) : ".\n";
  if (w.unknown > 0)
    out += fmt::format("  Not known of {} more: whether they were taken, and when their shutters closed.\n",
                       w.unknown);
  return out;
}

std::string windows(const Summary& s, const LocalClock& local) {
  std::string out;
  for (const auto& w : s.windows) {
    out += fmt::format("Filter window of {}{}: {} to {}.\n", w.rig,
                       w.in_force ? "" : " before the plan was amended", when(w.window.opens, local),
                       when(w.window.closes, local));
    if (w.by_hand) {
      out += "  By hand: what was taken isn't known here.\n";
      continue;
    }
    out += unfiltered_frames(w);
  }
  return out.empty() ? out : out + '\n';
}

std::string gaps(const Summary& s, const LocalClock& local) {
  std::string out;
  for (const auto& gap : s.gaps) {
    out += fmt::format("  {}: {:.1f} s from {}\n", gap.rig, in_seconds(gap.until - gap.from),
                       when(gap.from, local));
  }
  return out.empty() ? "" : "Longest stretches of totality without an open shutter:\n" + out + '\n';
}

std::string words_of(const shotlog::Entry& entry) {
  if (const auto* fault = std::get_if<shotlog::Fault>(&entry)) {
    return fmt::format("{}: {}", fault->rig, fault->why.empty() ? "the body is back" : fault->why);
  }
  if (const auto* cue = std::get_if<shotlog::CueLine>(&entry))
    return fmt::format("\"{}\" {}", cue->words,
                       !cue->why.empty() ? cue->why
                       : cue->printed    ? "printed late"
                                         : "spoken late");
  if (const auto* clock = std::get_if<shotlog::ClockLine>(&entry)) return "clock: " + clock->why;
  if (const auto* command = std::get_if<shotlog::CommandLine>(&entry)) {
    return fmt::format("operator: {}{}", shotlog::to_text(command->command),
                       command->why.empty() ? "" : " (" + command->why + ")");
  }
  if (const auto* amendment = std::get_if<shotlog::Amendment>(&entry))
    return "plan amended: " + amendment->why;
  return {};
}

std::string happenings(const Summary& s, const LocalClock& local) {
  std::string out;
  for (const auto& line : s.happenings)
    out += fmt::format("  {}  {}\n", when(line.utc, local), plain_line(words_of(line.entry)));
  return out.empty() ? "" : "What else happened:\n" + out + '\n';
}

}  // namespace

std::string to_text(const Summary& summary, const LocalClock& local) {
  auto out = heading(summary, local) + verdict(summary) + table(summary, local) + reasons(summary) +
             windows(summary, local) + gaps(summary, local) + happenings(summary, local);
  while (out.ends_with("\n\n")) out.pop_back();
  return out;
}

}  // namespace noonfall::report
