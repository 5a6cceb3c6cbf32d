#include <algorithm>
#include <iterator>
#include <map>
#include <utility>

#include "lib/base/plain_text.h"
#include "lib/report/join.h"
#include "lib/report/shot_frames.h"
#include "lib/report/summary.h"

namespace noonfall::report {
namespace {

using namespace std::chrono_literals;
using order::Outcome;
using shotlog::Account;
using shotlog::FrameAccount;
using shotlog::Tally;

constexpr Duration shortest_gap = 5s;
constexpr std::size_t most_gaps = 3;
constexpr int doubt_in_frames = 10;  // one frame in so many: what fits back to back is a prediction

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

StepSummary summary_of(const std::string& rig, const shotlog::PlannedStep& planned, const Account& account,
                       Utc told_until) {
  StepSummary step;
  step.rig = rig;
  step.planned = planned;
  std::vector<Duration> late;
  std::map<std::int32_t, Tally> by_set;
  for (const auto& [name, frame] : account.of(rig, planned.step)) {
    step.frames.count(frame);
    by_set[name.set].count(frame);
    if (!frame.last && frame.due() >= told_until) ++step.still_due;
    if (frame.last && !frame.last->why.empty() && !frame.over)
      ++step.reasons[without_details(frame.last->why)];
    if (const auto at = opened(frame)) late.push_back(*at - frame.due());
  }
  step.whole_sets = whole_sets(planned, by_set);
  if (!planned.back_to_back && !late.empty()) {
    std::sort(late.begin(), late.end());
    step.median_late = late[late.size() / 2];
    step.most_late = late.back();
  }
  return step;
}

void judge(WindowSummary& out, const FrameAccount& frame) {
  if (!frame.last || frame.is(Outcome::unknown)) ++out.unknown;
  const auto at = opened(frame);
  if (!at) return;
  const bool inside = *at >= out.window.usable_from && closed(frame) <= out.window.usable_until;
  ++(inside ? out.inside : out.outside);
}

/// None for a frame taken with the filter on.
std::optional<shotlog::PlannedWindow> window_of(const shotlog::Header& plan,
                                                const shotlog::FrameName& frame) {
  for (const auto& rig : plan.rigs) {
    for (const auto& step : rig.steps) {
      if (rig.rig == frame.rig && step.step == frame.step) return step.filtered ? std::nullopt : rig.window;
    }
  }
  return std::nullopt;
}

/// Each unfiltered frame by the window it was ordered under: an amendment may have moved it since.
void add_windows(std::vector<WindowSummary>& windows, const shotlog::PlannedRig& rig,
                 const Account& account) {
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
  for (const auto& [name, frame] : account.of(rig.rig)) {
    if (const auto window = window_of(account.plans[frame.plan], name)) judge(find(*window), frame);
  }
  if (rig.window) find(*rig.window);
  std::sort(of_rig.begin(), of_rig.end(), [](const WindowSummary& a, const WindowSummary& b) {
    return std::pair{a.in_force, a.window.opens} < std::pair{b.in_force, b.window.opens};
  });
  windows.insert(windows.end(), of_rig.begin(), of_rig.end());
}

/// Stretches between C2 and C3 without an open shutter, for rigs that shot then.
void add_gaps(std::vector<Gap>& gaps, const shotlog::Header& header, const std::string& rig,
              const Account& account, Utc told_until) {
  const auto c2 = contact(header, contacts::ContactName::c2);
  const auto c3 = contact(header, contacts::ContactName::c3);
  if (header.kind != contacts::Kind::total || !c2 || !c3) return;
  std::map<Utc, Utc> open;
  for (const auto& [name, frame] : account.of(rig)) {
    const auto at = opened(frame);
    if (at && *at < *c3 && closed(frame) > *c2) open[*at] = closed(frame);
  }
  if (open.empty()) return;
  const auto end = std::min(*c3, told_until);
  open[end] = end;
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
  const auto* cue = std::get_if<shotlog::CueLine>(&line.entry);
  if (cue != nullptr) return !cue->why.empty() || (cue->filter && cue->filter->late);
  return std::holds_alternative<shotlog::BodyNews>(line.entry) ||
         std::holds_alternative<shotlog::ClockLine>(line.entry) ||
         std::holds_alternative<shotlog::CommandLine>(line.entry) ||
         std::holds_alternative<shotlog::Look>(line.entry) ||
         std::holds_alternative<shotlog::Amendment>(line.entry);
}

/// Steps that an amendment dropped stay in the report when frames of them were asked for; nothing more is
/// planned of them.
void keep_dropped_steps(shotlog::Header& header, const shotlog::Header& before, const Account& account) {
  for (const auto& rig : before.rigs) {
    auto now = std::find_if(header.rigs.begin(), header.rigs.end(),
                            [&](const shotlog::PlannedRig& each) { return each.rig == rig.rig; });
    for (const auto& planned : rig.steps) {
      const auto frames = account.of(rig.rig, planned.step);
      if (frames.begin() == frames.end()) continue;
      if (now == header.rigs.end()) {
        header.rigs.push_back({.rig = rig.rig, .body = rig.body, .profile_hash = rig.profile_hash});
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

/// Counts what is at least a set short of the plan, and, where nothing in the log explains it, more than a
/// tenth: how many sets fit is a prediction. A step that a log until `until` doesn't tell in full is passed
/// over. `away` is the step's rig's.
void add_never_asked(StepSummary& step, Utc until, const std::vector<shotlog::Away>& away) {
  const auto& plan = step.planned;
  if (!plan.back_to_back || until < plan.until) return;
  const auto shortfall = plan.frames - step.frames.asked();
  if (shortfall < std::max(plan.frames_per_set, 1)) return;
  const auto cause = std::find_if(away.begin(), away.end(), [&](const shotlog::Away& each) {
    return each.from < plan.until && each.until > plan.from;
  });
  const bool within_doubt = shortfall * doubt_in_frames <= plan.frames;
  if (cause == away.end() && !step.left_out && within_doubt) return;
  step.never_asked = shortfall;
  if (step.left_out) return;  // and says why
  step.reasons[cause == away.end() ? "its time ran out" : cause->why] += shortfall;
}

void sum_up(Summary& out, const Account& account, Utc told_until) {
  for (const auto& rig : out.header.rigs) {
    const auto found = account.rigs.find(rig.rig);
    const auto told = found == account.rigs.end() ? shotlog::RigAccount{} : found->second;
    for (const auto& planned : rig.steps) {
      auto step = summary_of(rig.rig, planned, account, told_until);
      const auto whole = told.left_out.find(planned.step);
      if (whole != told.left_out.end()) {
        step.left_out = true;
        ++step.reasons[why_of(whole->second.skip)];
      }
      step.by_hand = rig.body.empty();
      if (!step.by_hand) add_never_asked(step, told_until, told.away);
      out.total.add(step.frames);
      if (!step.by_hand) out.planned_frames += planned.frames;
      out.steps.push_back(std::move(step));
    }
    add_windows(out.windows, rig, account);
    add_gaps(out.gaps, out.header, rig.rig, account, told_until);
  }
}

void make_plain(std::string& text) {
  text = plain_line(text);
}

void make_plain(std::map<std::string, int>& reasons) {
  std::map<std::string, int> plain;
  for (const auto& [why, times] : reasons) plain[plain_line(why)] += times;
  reasons = std::move(plain);
}

void make_plain(Summary& summary) {
  make_plain(summary.header.title);
  for (auto& step : summary.steps) {
    for (auto* text : {&step.rig, &step.planned.step, &step.planned.subject}) make_plain(*text);
    make_plain(step.reasons);
  }
  for (auto& window : summary.windows) make_plain(window.rig);
  for (auto& gap : summary.gaps) make_plain(gap.rig);
}

}  // namespace

bool Summary::strayed() const {
  return std::any_of(windows.begin(), windows.end(),
                     [](const WindowSummary& window) { return window.outside > 0; });
}

std::optional<Summary> summarise(std::span<const shotlog::Replayed> logs) {
  auto joined = join(logs);
  const auto& account = joined.account;
  if (account.plans.empty()) return std::nullopt;
  Summary out;
  out.header = std::move(joined.plan);
  out.complete = joined.complete;
  for (const auto& log : logs) {
    out.torn_tail = out.torn_tail || log.torn_tail;
    out.damaged_lines +=
        static_cast<int>(std::count_if(log.damage.begin(), log.damage.end(), [](const Diagnostic& finding) {
          return finding.code == "damaged-line";
        }));
  }
  std::copy_if(joined.story.begin(), joined.story.end(), std::back_inserter(out.happenings), is_happening);
  for (const auto& before : account.plans) keep_dropped_steps(out.header, before, account);
  sum_up(out, account, joined.told_until);
  out.detail = detail_of(out.header, account, joined.told_until);
  out.detail.story = std::move(joined.story);
  out.detail.clock = std::move(joined.clock);
  make_plain(out);
  return out;
}

std::optional<Summary> summarise(const shotlog::Replayed& log) {
  return summarise(std::span{&log, 1});
}

}  // namespace noonfall::report
