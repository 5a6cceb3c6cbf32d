#include "daemon/status/status_ledger.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "daemon/status/event_lines.h"

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

BodyState body_of(const timeline::RigTimeline& planned, const shotlog::RigAccount& account) {
  if (account.away_now() != nullptr) return BodyState::away;
  if (account.held) return BodyState::held;
  if (planned.by_hand) return BodyState::by_hand;
  return account.heard_of ? BodyState::ready : BodyState::starting;
}

}  // namespace

using shotlog::FilterState;

StatusLedger::StatusLedger(const timeline::Timeline& timeline, shotlog::Mode mode, shotlog::Account before)
    : timeline_{timeline}, mode_{mode}, account_{std::move(before)} {}

RigStatus StatusLedger::status_of(const timeline::RigTimeline& planned) const {
  const auto found = account_.rigs.find(planned.name);
  const auto account = found == account_.rigs.end() ? shotlog::RigAccount{} : found->second;
  RigStatus out;
  out.rig = planned.name;
  out.body = body_of(planned, account);
  if (const auto* away = account.away_now()) out.why = away->words;
  if (planned.has_filter || account.filter.state) {
    const auto at_first = mode_ == shotlog::Mode::event ? FilterState::unknown : FilterState::on;
    out.filter = account.filter.state.value_or(at_first);
    out.filter_confirmed = account.filter.confirmed;
  }
  out.planned = planned.predicted_frames();
  for (const auto& [name, frame] : account_.of(planned.name)) out.frames.count(frame);
  return out;
}

/// A filter off the lens comes before anything that happened later; of the rest, what happened last.
std::optional<Alarm> StatusLedger::worst_alarm() const {
  Alarm filters{Utc::max(), {}};
  auto latest = own_alarm_;
  const auto alarm = [&](Utc at, std::string words) {
    if (!latest || at >= latest->at) latest = Alarm{at, std::move(words)};
  };
  const bool totality = timeline_.circumstances.kind == contacts::Kind::total;
  for (const auto& [rig, account] : account_.rigs) {
    if (account.filter.late) {
      filters.at = std::min(filters.at, *account.filter.late);
      filters.words += (filters.words.empty() ? "" : ", ") + rig;
    }
    const auto& name = rig;
    if (std::ranges::find(timeline_.rigs, name, &timeline::RigTimeline::name) == timeline_.rigs.end())
      continue;
    if (const auto* away = account.away_now()) alarm(away->told, fmt::format("{}: {}", rig, away->words));
    for (const auto& [step, left] : account.left_out) {
      if (alarms(left.skip, totality))
        alarm(left.told, fmt::format("{}: {} is left out: {}", rig, step, why_of(left.skip)));
    }
  }
  if (filters.words.empty()) return latest;
  return Alarm{filters.at, filters.words + ": the camera filter must go back on NOW"};
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
  facts.clock = account_.clock;
  facts.next_contact = next_contact(timeline_.circumstances, now);
  facts.alarm = worst_alarm();
  for (const auto& planned : timeline_.rigs)
    fill_schedule(planned, now, facts.rigs.emplace_back(status_of(planned)));
  return facts;
}

}  // namespace noonfall::status
