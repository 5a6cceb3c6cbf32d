#include <algorithm>
#include <map>
#include <utility>

#include "lib/report/frames.h"
#include "lib/report/never_asked.h"
#include "lib/report/summary.h"

namespace noonfall::report {
namespace {

using namespace std::chrono_literals;
using order::Outcome;

constexpr Duration shortest_gap = 5s;
constexpr std::size_t most_gaps = 3;

void count(Tally& tally, const Frame& frame) {
  const auto& result = frame.result;
  if (frame.over) {
    ++tally.over;
    return;
  }
  if (!result) {
    ++tally.open;
    return;
  }
  switch (*result) {
    case Outcome::fired:
      ++tally.fired;
      return;
    case Outcome::failed:
      ++tally.failed;
      return;
    case Outcome::unknown:
      ++tally.unknown;
      return;
    case Outcome::skipped:
      ++tally.skipped;
      return;
    case Outcome::cancelled:
      ++tally.cancelled;
      return;
  }
}

/// "too late: the shutter would open 0.42 s after …" and its like are one reason.
std::string without_details(const std::string& why) {
  return why.substr(0, why.find(':'));
}

int length_of(const shotlog::PlannedStep& planned, std::int32_t set) {
  const auto& turn = planned.frames_in_turn;
  if (turn.empty()) return std::max(planned.frames_per_set, 1);
  return turn[static_cast<std::size_t>(std::max(set, 1) - 1) % turn.size()];
}

/// Sets all of whose frames fired; a burst goes on over several sets, its frames count in lengths of one.
int whole_sets(const shotlog::PlannedStep& planned, const std::map<std::int32_t, Tally>& by_set) {
  int whole = 0;
  for (const auto& [set, tally] : by_set) {
    const auto size = length_of(planned, set);
    const auto all = tally.asked() + tally.over;
    if (planned.back_to_back && all > size) {
      whole += tally.fired / size;
    } else if (tally.fired == all) {
      ++whole;
    }
  }
  return whole;
}

StepSummary summary_of(const std::string& rig, const shotlog::PlannedStep& planned, const Frames& frames) {
  StepSummary step;
  step.rig = rig;
  step.planned = planned;
  std::vector<Duration> late;
  std::map<std::int32_t, Tally> by_set;
  for (const auto& [name, frame] : FramesOfStep{frames, rig, planned.step}) {
    count(step.frames, frame);
    count(by_set[name.set], frame);
    if (!frame.why.empty() && !frame.over) ++step.reasons[without_details(frame.why)];
    if (frame.opened) late.push_back(*frame.opened - frame.due);
  }
  step.whole_sets = whole_sets(planned, by_set);
  if (!planned.back_to_back && !late.empty()) {
    std::sort(late.begin(), late.end());
    step.median_late = late[late.size() / 2];
    step.most_late = late.back();
  }
  return step;
}

void judge(WindowSummary& out, const Frame& frame) {
  if (!frame.result || *frame.result == Outcome::unknown) ++out.unknown;
  if (!frame.opened) return;
  const auto opened = *frame.opened;
  const bool inside = opened >= out.window.usable_from && opened + frame.exposure <= out.window.usable_until;
  ++(inside ? out.inside : out.outside);
  out.first_opened = std::min(out.first_opened.value_or(opened), opened);
  out.last_opened = std::max(out.last_opened.value_or(opened), opened);
}

/// Each unfiltered frame by the window it was ordered under: an amendment may have moved it since.
void add_windows(std::vector<WindowSummary>& windows, const shotlog::PlannedRig& rig, const Frames& frames) {
  std::vector<WindowSummary> of_rig;
  const auto find = [&](const shotlog::PlannedWindow& window) -> WindowSummary& {
    for (auto& each : of_rig) {
      if (each.window == window) return each;
    }
    WindowSummary found;
    found.rig = rig.rig;
    found.window = window;
    found.by_hand = rig.body.empty();
    found.in_force = rig.window == window;
    return of_rig.emplace_back(std::move(found));
  };
  for (const auto& [name, frame] : frames) {
    if (name.rig == rig.rig && frame.window) judge(find(*frame.window), frame);
  }
  if (rig.window) find(*rig.window);
  std::sort(of_rig.begin(), of_rig.end(), [](const WindowSummary& a, const WindowSummary& b) {
    return std::pair{a.in_force, a.window.opens} < std::pair{b.in_force, b.window.opens};
  });
  windows.insert(windows.end(), of_rig.begin(), of_rig.end());
}

std::optional<Utc> contact(const shotlog::Header& header, contacts::ContactName name) {
  for (const auto& each : header.contacts) {
    if (each.name == name) return each.utc;
  }
  return std::nullopt;
}

/// Stretches between C2 and C3 without an open shutter, for rigs that shot then.
void add_gaps(std::vector<Gap>& gaps, const shotlog::Header& header, const std::string& rig,
              const Frames& frames) {
  const auto c2 = contact(header, contacts::ContactName::c2);
  const auto c3 = contact(header, contacts::ContactName::c3);
  if (header.kind != contacts::Kind::total || !c2 || !c3) return;
  std::map<Utc, Utc> open;
  for (const auto& [name, frame] : frames) {
    if (name.rig != rig || !frame.opened) continue;
    const auto closed = *frame.opened + frame.exposure;
    if (*frame.opened < *c3 && closed > *c2) open[*frame.opened] = closed;
  }
  if (open.empty()) return;
  open[*c3] = *c3;
  auto at = *c2;
  std::vector<Gap> of_rig;
  for (const auto& [opened, closed] : open) {
    if (opened - at > shortest_gap) of_rig.push_back({rig, at, opened});
    at = std::max(at, closed);
  }
  std::stable_sort(of_rig.begin(), of_rig.end(),
                   [](const Gap& a, const Gap& b) { return a.until - a.from > b.until - b.from; });
  if (of_rig.size() > most_gaps) of_rig.resize(most_gaps);
  gaps.insert(gaps.end(), of_rig.begin(), of_rig.end());
}

bool is_happening(const shotlog::Line& line) {
  const auto* cue = std::get_if<shotlog::CueSpoken>(&line.entry);
  if (cue != nullptr) return !cue->why.empty() || (cue->filter && cue->filter->late);
  return std::holds_alternative<shotlog::Fault>(line.entry) ||
         std::holds_alternative<shotlog::ClockLine>(line.entry) ||
         std::holds_alternative<shotlog::CommandLine>(line.entry) ||
         std::holds_alternative<shotlog::Amendment>(line.entry);
}

bool was_shot(const Frames& frames, const std::string& rig, const std::string& step) {
  const FramesOfStep of_step{frames, rig, step};
  return of_step.begin() != of_step.end();
}

/// Steps that an amendment dropped stay in the report when frames of them were asked for; nothing more is
/// planned of them.
void keep_dropped_steps(shotlog::Header& header, const shotlog::Header& before, const Frames& frames) {
  for (const auto& rig : before.rigs) {
    auto now = std::find_if(header.rigs.begin(), header.rigs.end(),
                            [&](const shotlog::PlannedRig& each) { return each.rig == rig.rig; });
    for (const auto& planned : rig.steps) {
      if (!was_shot(frames, rig.rig, planned.step)) continue;
      if (now == header.rigs.end()) {
        header.rigs.push_back({rig.rig, rig.body, rig.profile_hash, {}, {}});
        now = header.rigs.end() - 1;
      }
      const bool kept = std::any_of(now->steps.begin(), now->steps.end(),
                                    [&](const auto& step) { return step.step == planned.step; });
      if (kept) continue;
      now->steps.push_back(planned);
      now->steps.back().sets = 0;
      now->steps.back().frames = 0;
    }
  }
}

/// An amendment's where the first line is damaged.
const shotlog::Header* first_header(const shotlog::Replayed& log) {
  for (const auto& line : log.lines) {
    if (const auto* header = std::get_if<shotlog::Header>(&line.entry)) return header;
    if (const auto* amendment = std::get_if<shotlog::Amendment>(&line.entry)) return &amendment->header;
  }
  return nullptr;
}

void add(Tally& total, const Tally& part) {
  total.fired += part.fired;
  total.failed += part.failed;
  total.unknown += part.unknown;
  total.cancelled += part.cancelled;
  total.skipped += part.skipped;
  total.open += part.open;
  total.over += part.over;
}

void sum_up(Summary& out, const Frames& frames, const std::map<std::string, std::string>& left_out,
            const std::vector<shotlog::Line>& lines) {
  const auto away = times_away(lines);
  const auto told_until = out.complete ? Utc::max() : lines.back().utc;
  for (const auto& rig : out.header.rigs) {
    for (const auto& planned : rig.steps) {
      auto step = summary_of(rig.rig, planned, frames);
      const auto whole = left_out.find(rig.rig + '\n' + planned.step);
      if (whole != left_out.end()) {
        step.left_out = true;
        ++step.reasons[whole->second];
      }
      step.by_hand = rig.body.empty();
      if (!step.by_hand) add_never_asked(step, told_until, away);
      add(out.total, step.frames);
      if (!step.by_hand) out.planned_frames += planned.frames;
      out.steps.push_back(std::move(step));
    }
    add_windows(out.windows, rig, frames);
    add_gaps(out.gaps, out.header, rig.rig, frames);
  }
}

}  // namespace

bool Summary::strayed() const {
  return std::any_of(windows.begin(), windows.end(),
                     [](const WindowSummary& window) { return window.outside > 0; });
}

std::optional<Summary> summarise(const shotlog::Replayed& log) {
  const auto* header = first_header(log);
  if (header == nullptr) return std::nullopt;
  Summary out;
  out.header = *header;
  out.torn_tail = log.torn_tail;
  out.damaged_lines =
      static_cast<int>(std::count_if(log.damage.begin(), log.damage.end(), [](const Diagnostic& finding) {
        return finding.code == "damaged-line";
      }));
  Frames frames;
  std::map<std::string, std::string> left_out;
  std::vector<shotlog::Header> earlier;
  for (const auto& line : log.lines) {
    collect(frames, out.header, line.entry);
    if (const auto* amendment = std::get_if<shotlog::Amendment>(&line.entry)) {
      earlier.push_back(std::exchange(out.header, amendment->header));
      out.complete = false;
      left_out.clear();
    }
    if (is_happening(line)) out.happenings.push_back(line);
    const auto* skip = std::get_if<shotlog::Skip>(&line.entry);
    if (skip != nullptr && skip->frame.set == 0)
      left_out[skip->frame.rig + '\n' + skip->frame.step] = why_of(*skip);
    const auto* end = std::get_if<shotlog::Ended>(&line.entry);
    out.complete = out.complete || (end != nullptr && end->how == shotlog::RunEnd::done);
  }
  for (const auto& before : earlier) keep_dropped_steps(out.header, before, frames);
  sum_up(out, frames, left_out, log.lines);
  return out;
}

}  // namespace noonfall::report
