#include <algorithm>

#include <fmt/format.h>

#include "lib/base/plain_text.h"
#include "lib/report/report.h"
#include "lib/report/words.h"
#include "lib/time/utc_text.h"

namespace noonfall::report {
namespace {

std::string heading(const Summary& s, const LocalClock& local) {
  const auto& h = s.header;
  std::string out = fmt::format("{}: {} eclipse of {}, {}\n", h.title, contacts::to_text(h.kind),
                                noonfall::to_text(h.eclipse), mode_text(h.mode));
  for (const auto& contact : h.contacts) {
    out += fmt::format("  {:<4}{}  ± {:.1f} s\n", contacts::to_text(contact.name), when(contact.utc, local),
                       in_seconds(contact.uncertainty));
  }
  const auto edge = edge_text(h);
  if (!edge.empty()) out += fmt::format("  {}\n", edge);
  return out + '\n';
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
  add(never_asked(s), "never asked for");
  out += ".\n";
  for (const auto& remark : remarks(s)) out += remark + '\n';
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
        rig_width, step.planned.step, step_width, step.planned.frames, n.fired, step.missed(),
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

/// How totality was used, and what the corona's frames are worth together.
std::string corona(const Summary& s) {
  std::string out;
  for (const auto& use : s.detail.totality)
    out += fmt::format("{}: {}.\n", plain_line(use.rig), use_text(use));
  if (!out.empty()) out += '\n';
  for (const auto& worth : s.detail.worth) {
    std::string radii;
    std::string planned;
    std::string reached;
    for (std::size_t n = 0; n < worth.planned.size(); ++n) {
      radii += fmt::format("{:>6}", worth.planned[n].radii);
      planned += fmt::format("{:>6}", to_noise_text(worth.planned[n].to_noise));
      reached += fmt::format("{:>6}", to_noise_text(worth.reached[n].to_noise));
    }
    out += fmt::format("{}: signal to noise of the corona, per pixel, when stacked\n", plain_line(worth.rig));
    out += fmt::format("  radii above the limb {}\n  as planned           {}\n  as shot              {}\n\n",
                       radii, planned, reached);
  }
  return out;
}

/// What mustn't be formatted yet, and what is still to be taken for it.
std::string cards(const Summary& s) {
  std::string out;
  for (const auto& card : s.detail.cards) {
    out += plain_line(fmt::format("  {}: {}", card.rig, card_text(card))) + ".\n";
    const auto darks = darks_text(card);
    const auto flats = flats_text(card);
    if (!darks.empty()) out += fmt::format("    Darks, with the cap on, would suit at {}.\n", darks);
    if (!flats.empty()) out += fmt::format("    Flats, with the focus as it was, at {}.\n", flats);
  }
  return out.empty() ? "" : "On the cards, to be copied before they are formatted:\n" + out + '\n';
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
             windows(summary, local) + gaps(summary, local) + corona(summary) + cards(summary) +
             happenings(summary, local);
  while (out.ends_with("\n\n")) out.pop_back();
  return out;
}

}  // namespace noonfall::report
