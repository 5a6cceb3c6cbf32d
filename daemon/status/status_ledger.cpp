#include "daemon/status/status_ledger.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "daemon/status/event_lines.h"
#include "lib/timeline/sentences.h"

namespace noonfall::status {
namespace {

std::vector<NamedInstant> contacts_of(const contacts::Circumstances& sky) {
  std::vector<NamedInstant> all;
  for (const auto name : contacts::all_contacts) {
    if (const auto& contact = sky.at(name)) all.push_back({name, contact->utc});
  }
  return all;
}

/// In totality it is third contact that counts, whatever comes before.
std::optional<NamedInstant> next_contact(const std::vector<NamedInstant>& all, Utc now, bool totality) {
  const auto next = std::ranges::find_if(all, [&](const NamedInstant& contact) {
    return contact.utc > now && !(totality && contact.name == contacts::ContactName::mid);
  });
  return next == all.end() ? std::nullopt : std::optional{*next};
}

std::optional<Totality> totality_at(const contacts::Circumstances& sky, Utc now) {
  if (sky.totality() == Duration{}) return std::nullopt;
  const auto elapsed = now - sky.at(contacts::ContactName::c2)->utc;
  if (elapsed < Duration{} || elapsed >= sky.totality()) return std::nullopt;
  return Totality{elapsed, sky.totality()};
}

std::optional<Call> sooner(std::optional<Call> a, std::optional<Call> b) {
  if (!a || (b && b->at < a->at)) return b;
  return a;
}

/// The step's next opening from `now` on, and its shape; back to back within the step, that is now.
std::optional<timeline::Target> next_opening(const timeline::RigStep& step, Utc now) {
  if (step.back_to_back)
    return now < step.until ? std::optional{timeline::Target{std::max(now, step.from)}} : std::nullopt;
  const auto found = std::find_if(step.targets.begin(), step.targets.end(),
                                  [&](const timeline::Target& target) { return target.due >= now; });
  return found == step.targets.end() ? std::nullopt : std::optional{*found};
}

/// What the rig's frames come to: how many, and the exposure and lateness of the latest.
void tell_frames(const shotlog::FrameSpan& frames, Utc now, RigStatus& out) {
  Utc asked = Utc::min();
  Utc opened = Utc::min();
  for (const auto& [name, frame] : frames) {
    out.frames.count(frame);
    if (frame.asked && frame.asked->due <= now && frame.asked->due >= asked) {
      asked = frame.asked->due;
      out.exposure = frame.asked->exposure;
    }
    if (frame.last && frame.last->opened && *frame.last->opened >= opened) {
      opened = *frame.last->opened;
      out.late = opened - frame.last->due;
    }
  }
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

RigStatus StatusLedger::status_of(const timeline::RigTimeline& planned, Utc now) const {
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
  out.trim = account.trim;
  if (const auto& looked = account.looked) {
    out.looks = looked->look.words;
    out.proposed_trim = looked->look.trim;
  }
  tell_frames(account_.of(planned.name), now, out);
  return out;
}

/// A filter off the lens comes before anything that happened later.
std::vector<Alarm> StatusLedger::alarms() const {
  Alarm filters{Utc::max(), {}};
  std::vector<Alarm> all;
  if (own_alarm_) all.push_back(*own_alarm_);
  const bool totality = timeline_.circumstances.kind == contacts::Kind::total;
  for (const auto& [rig, account] : account_.rigs) {
    if (account.filter.late) {
      filters.at = std::min(filters.at, *account.filter.late);
      filters.words += (filters.words.empty() ? "" : ", ") + rig;
    }
    const auto& name = rig;
    if (std::ranges::find(timeline_.rigs, name, &timeline::RigTimeline::name) == timeline_.rigs.end())
      continue;
    if (const auto* away = account.away_now())
      all.push_back({away->told, fmt::format("{}: {}", rig, away->words)});
    if (const auto& looked = account.looked; looked && looked->look.hands)
      all.push_back({looked->at, fmt::format("{}: {}", rig, looked->look.words)});
    for (const auto& [step, left] : account.left_out) {
      if (status::alarms(left.skip, totality))
        all.push_back({left.told, fmt::format("{}: {} is left out: {}", rig, step, why_of(left.skip))});
    }
  }
  std::ranges::stable_sort(all, std::ranges::greater{}, &Alarm::at);
  if (!filters.words.empty())
    all.insert(all.begin(), {filters.at, filters.words + ": the camera filter must go back on NOW"});
  return all;
}

/// In a rehearsal nobody is told to take a filter off, nor shown that they will be.
std::string StatusLedger::said_at(const timeline::Cue& cue) const {
  using timeline::CueKind, timeline::Sentence;
  if (cue.kind != CueKind::filter_off && cue.kind != CueKind::filter_on) return cue.words;
  if (mode_ != shotlog::Mode::event)
    return timeline::sentence(timeline_.language, Sentence::keep_filter_on, timeline_.rigs.at(cue.rig).name);
  const bool unverified = cue.kind == CueKind::filter_off && account_.clock.grade == shotlog::ClockGrade::f;
  return unverified ? timeline::sentence(timeline_.language, Sentence::clock_unverified) : cue.words;
}

std::optional<Call> StatusLedger::next_words(Utc now) const {
  const auto cue = std::ranges::find_if(timeline_.cues, [&](const auto& each) { return each.ends > now; });
  if (cue == timeline_.cues.end()) return std::nullopt;
  return Call{cue->ends, said_at(*cue)};
}

/// A step at a rig, or a camera filter to be moved.
std::optional<Call> StatusLedger::next_hands(Utc now) const {
  std::optional<Call> next;
  for (const auto& span : timeline_.hands_on) {
    if (span.until > now)
      next =
          sooner(next, Call{span.from, fmt::format("{} at {}", span.name, timeline_.rigs.at(span.rig).name)});
  }
  if (mode_ != shotlog::Mode::event) return next;
  for (const auto& cue : timeline_.cues) {
    const bool filter = cue.kind == timeline::CueKind::filter_off || cue.kind == timeline::CueKind::filter_on;
    if (filter && cue.ends > now) return sooner(next, Call{cue.ends, cue.words});
  }
  return next;
}

std::optional<Call> StatusLedger::last_words() const {
  for (auto cue = account_.cues.rbegin(); cue != account_.cues.rend(); ++cue) {
    if (cue->why.empty()) return Call{cue->ends, cue->words};
  }
  return std::nullopt;
}

void StatusLedger::fill_schedule(const timeline::RigTimeline& planned, Utc now, RigStatus& out) const {
  for (const auto& step : planned.steps) {
    if (step.from <= now && now < step.until) {
      out.step = step.name;
      out.back_to_back = step.back_to_back;
    }
    const auto next = next_opening(step, now);
    if (!next || (out.next_due && *out.next_due <= next->due)) continue;
    out.next_due = next->due;
    out.next_step = step.name;
    out.next_exposures.clear();
    if (next->shape < step.shapes.size()) out.next_exposures = step.shapes[next->shape].exposures;
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
  const auto& sky = timeline_.circumstances;
  facts.contacts = contacts_of(sky);
  facts.totality = sky.totality();
  facts.in_totality = totality_at(sky, now);
  facts.next_contact = next_contact(facts.contacts, now, facts.in_totality.has_value());
  facts.hands = next_hands(now);
  facts.next = next_words(now);
  if (facts.hands && facts.hands->at > now) facts.next = sooner(facts.next, facts.hands);
  facts.last = last_words();
  facts.moon = contacts::moon_at(sky, now);
  facts.alarms = alarms();
  for (const auto& planned : timeline_.rigs)
    fill_schedule(planned, now, facts.rigs.emplace_back(status_of(planned, now)));
  return facts;
}

}  // namespace noonfall::status
