#include "daemon/status/status_ledger.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "daemon/status/event_lines.h"
#include "lib/base/match.h"

namespace noonfall::status {
namespace {

std::optional<NextContact> next_contact(const contacts::Circumstances& sky, Utc now) {
  std::optional<NextContact> next;
  for (const auto name : {contacts::ContactName::c1, contacts::ContactName::c2, contacts::ContactName::mid,
                          contacts::ContactName::c3, contacts::ContactName::c4}) {
    const auto& contact = sky.at(name);
    if (contact && contact->utc > now && (!next || contact->utc < next->utc)) next = {name, contact->utc};
  }
  return next;
}

/// The step's next opening from `now` on; back to back within the step, that is now.
std::optional<Utc> next_opening(const timeline::RigStep& step, Utc now) {
  if (step.back_to_back) return now < step.until ? std::optional{std::max(now, step.from)} : std::nullopt;
  const auto found = std::find_if(step.targets.begin(), step.targets.end(),
                                  [&](const timeline::Target& target) { return target.due >= now; });
  return found == step.targets.end() ? std::nullopt : std::optional{found->due};
}

}  // namespace

using shotlog::FilterState;

StatusLedger::StatusLedger(const timeline::Timeline& timeline, shotlog::Mode mode)
    : timeline_{timeline}, mode_{mode} {
  for (const auto& planned : timeline_.rigs) {
    Rig rig;
    rig.status.rig = planned.name;
    rig.status.body = planned.by_hand ? BodyState::by_hand : BodyState::starting;
    if (planned.has_filter)
      rig.status.filter = mode == shotlog::Mode::event ? FilterState::unknown : FilterState::on;
    rig.status.planned = planned.predicted_frames();
    rigs_.push_back(std::move(rig));
  }
}

StatusLedger::Rig* StatusLedger::find(const std::string& rig) {
  const auto found =
      std::find_if(rigs_.begin(), rigs_.end(), [&](const Rig& each) { return each.status.rig == rig; });
  return found == rigs_.end() ? nullptr : &*found;
}

void StatusLedger::take(const shotlog::Line& line) {
  clock_ = line.clock;
  std::visit(Match{[this](const shotlog::Outcome& outcome) { saw(outcome); },
                   [&](const shotlog::Skip& skip) { saw(skip, line.utc); },
                   [&](const shotlog::CueSpoken& cue) { saw(cue, line.utc); },
                   [this](const shotlog::FilterChange& change) { saw(change); },
                   [&](const shotlog::Fault& fault) { saw(fault, line.utc); },
                   [this](const shotlog::CommandLine& command) { saw(command); }, [](const auto&) {}},
             line.entry);
}

void StatusLedger::saw(const shotlog::Outcome& outcome) {
  switch (outcome.result) {
    case order::Outcome::fired:
      ready(outcome.frame.rig);
      return count(outcome.frame, &RigStatus::fired);
    case order::Outcome::failed:
      return count(outcome.frame, &RigStatus::failed);
    case order::Outcome::unknown:
      return count(outcome.frame, &RigStatus::unknown);
    case order::Outcome::skipped:
    case order::Outcome::cancelled:
      return count(outcome.frame, &RigStatus::skipped);
  }
}

/// A frame that was unknown is moved when a late word about it comes. A whole step left out counts no frame.
void StatusLedger::count(const shotlog::FrameName& frame, int RigStatus::*where) {
  auto* rig = find(frame.rig);
  if (rig == nullptr || frame.set == 0) return;
  const auto [found, is_new] = rig->counted.try_emplace(frame, where);
  if (!is_new) --(rig->status.*found->second);
  found->second = where;
  ++(rig->status.*where);
}

void StatusLedger::ready(const std::string& name) {
  auto* rig = find(name);
  if (rig == nullptr || rig->status.body == BodyState::by_hand) return;
  rig->status.body = BodyState::ready;
  rig->status.why.clear();
  alarms_.erase(name);
}

void StatusLedger::saw(const shotlog::CueSpoken& cue, Utc at) {
  if (cue.filter && cue.filter->late && cue.why.empty()) filters_late_.try_emplace(cue.filter->rig, at);
}

void StatusLedger::saw(const shotlog::FilterChange& change) {
  if (change.state == FilterState::on) filters_late_.erase(change.rig);
  auto* rig = find(change.rig);
  if (rig == nullptr) return;
  rig->status.filter = change.state;
  rig->status.filter_confirmed = change.confirmed;
}

void StatusLedger::saw(const shotlog::Fault& fault, Utc at) {
  if (fault.ready) return ready(fault.rig);
  auto* rig = find(fault.rig);
  if (rig == nullptr) return;
  rig->status.body = BodyState::away;
  rig->status.why = fault.why;
  alarms_[fault.rig] = Alarm{at, fmt::format("{}: {}", fault.rig, fault.why)};
}

void StatusLedger::saw(const shotlog::Skip& skip, Utc at) {
  count(skip.frame, &RigStatus::skipped);
  if (!alarms(skip, timeline_.circumstances.kind == contacts::Kind::total)) return;
  alarms_["steps/"] =
      Alarm{at, fmt::format("{}: {} is left out: {}", skip.frame.rig, skip.frame.step, why_of(skip))};
}

void StatusLedger::saw(const shotlog::CommandLine& command) {
  if (!command.why.empty()) return;
  if (const auto* hold = std::get_if<shotlog::Hold>(&command.command)) set_held(hold->rig, true);
  if (const auto* resume = std::get_if<shotlog::Resume>(&command.command)) set_held(resume->rig, false);
}

void StatusLedger::set_held(const std::string& name, bool held) {
  if (auto* rig = find(name)) rig->held = held;
}

/// A filter off the lens comes before anything that happened later; of the rest, what happened last.
std::optional<Alarm> StatusLedger::worst_alarm() const {
  if (filters_late_.empty()) {
    const auto latest = std::max_element(alarms_.begin(), alarms_.end(), [](const auto& a, const auto& b) {
      return a.second.at < b.second.at;
    });
    return latest == alarms_.end() ? std::nullopt : std::optional{latest->second};
  }
  Alarm alarm{Utc::max(), {}};
  for (const auto& [rig, since] : filters_late_) {
    alarm.at = std::min(alarm.at, since);
    alarm.words += (alarm.words.empty() ? "" : ", ") + rig;
  }
  alarm.words += ": the camera filter must go back on NOW";
  return alarm;
}

void StatusLedger::fill_schedule(const timeline::RigTimeline& planned, Utc now, RigStatus& out) const {
  for (const auto& step : planned.steps) {
    if (step.from <= now && now < step.until) {
      out.step = step.name;
      out.back_to_back = step.back_to_back;
    }
    const auto due = next_opening(step, now);
    if (!due || (out.next_due && *out.next_due <= *due)) continue;
    out.next_due = due;
    out.next_step = step.name;
  }
  const auto index = static_cast<std::size_t>(&planned - timeline_.rigs.data());
  for (const auto& span : timeline_.hands_on) {
    if (span.rig == index && span.from <= now && now < span.until) out.hands = span.name;
  }
}

StatusFacts StatusLedger::facts(Utc now) const {
  StatusFacts facts;
  facts.now = now;
  facts.zone = timeline_.zone;
  facts.title = timeline_.title;
  facts.mode = mode_;
  facts.clock = clock_;
  facts.next_contact = next_contact(timeline_.circumstances, now);
  facts.alarm = worst_alarm();
  for (std::size_t n = 0; n < rigs_.size(); ++n) {
    auto status = rigs_[n].status;
    if (rigs_[n].held && status.body != BodyState::away) status.body = BodyState::held;
    fill_schedule(timeline_.rigs[n], now, status);
    facts.rigs.push_back(std::move(status));
  }
  return facts;
}

}  // namespace noonfall::status
