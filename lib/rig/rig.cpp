#include "lib/rig/rig.h"

#include <algorithm>
#include <cassert>
#include <cstddef>

#include <fmt/format.h>

#include "lib/base/match.h"
#include "lib/body/model.h"
#include "lib/exposure/bracket.h"

namespace noonfall::rig {
namespace {

using namespace std::chrono_literals;
using order::Outcome;

constexpr Duration usual_wait = 1s;  // between frames a body is busy for a moment; longer, something is wrong

}  // namespace

SettingsCall bracket_call(const std::vector<exposure::Exposure>& set) {
  SettingsCall call{set.front(), body::Drive::bracket};
  for (const auto& exposure : set) call.bracket.push_back(exposure.shutter);
  call.exposure.shutter = exposure::short_first(call.bracket)[set.size() / 2];
  return call;
}

Rig::Rig(std::int32_t index, const body::Profile& profile)
    : index_{index}, profile_{profile}, lag_{profile.release} {}

Output Rig::step(Utc now, std::span<const Input> inputs) {
  output_ = {};
  for (const auto& input : inputs) std::visit([&](const auto& given) { take(now, given); }, input);
  if (!calling_) advance(now);
  return std::move(output_);
}

std::vector<order::HeldOrder> Rig::held() const {
  std::vector<order::HeldOrder> all;
  for (const auto& held : orders_) all.push_back({held.order.id, held.started});
  return all;
}

void Rig::take(Utc now, const order::ToRig& message) {
  std::visit(Match{[&](const order::Order& order) { take(now, order); },
                   [&](const order::Cancel& given_up) { cancel(now, given_up); },
                   [&](const order::Recover& recover) {
                     if (ready_ && recover.remedy == order::Remedy::drain_and_retry) return forget_settings();
                     recover_ = recover;
                     not_before_ = std::min(not_before_, now);
                   }},
             message);
}

void Rig::take(Utc now, const order::Order& order) {
  Held held;
  held.order = order;
  if (orders_.size() < order::most_held) return orders_.push_back(std::move(held));
  close_rest(now, held, Outcome::failed, "the rig has orders enough");
  output_.reports.emplace_back(order::OrderDone{order.id, now});
}

/// An order that waits is done with at once, whatever the body is at; one in progress after its present call.
void Rig::cancel(Utc now, const order::Cancel& cancel) {
  for (auto& held : orders_) {
    if (held.order.id != cancel.order) continue;
    held.cancelled = cancel.why;
    if (&held != &orders_.front()) close_rest(now, held, Outcome::cancelled, cancel.why);
  }
  close_behind(now);
}

/// Orders behind the first without frames left.
void Rig::close_behind(Utc now) {
  for (std::size_t n = orders_.size(); n-- > 1;) {
    if (orders_[n].frames_left()) continue;
    output_.reports.emplace_back(order::OrderDone{orders_[n].order.id, now});
    orders_.erase(orders_.begin() + static_cast<std::ptrdiff_t>(n));
  }
}

void Rig::take(Utc /*now*/, const DeviceAnswer& answer) {
  assert(calling_);
  const auto call = std::move(*calling_);
  calling_.reset();
  std::visit(Match{[&](const SettingsCall& asked) { settings_answered(answer, asked); },
                   [&](const ReleaseCall& release) { release_answered(answer, release); },
                   [&](const DrainCall&) {
                     if (answer.answer == Answer::gone) body_gone(answer.at, answer.why);
                   },
                   [&](const ReopenCall&) { reopen_answered(answer); }},
             call);
}

void Rig::take(Utc /*now*/, const Gone& gone) {
  assert(!calling_);
  if (ready_) body_gone(gone.at, gone.why);
}

/// Somebody may have turned the body's dials: everything is sent anew.
void Rig::forget_settings() {
  settings_.reset();
  drive_.reset();
  drain_first_ = true;
  for (auto& held : orders_) held.settled = false;
}

void Rig::advance(Utc now) {
  finish_orders(now);
  if (!ready_) return advance_away(now);
  if (orders_.empty()) return;
  auto& held = orders_.front();
  if (!start_or_wait(now, held)) return;
  if (drain_first_) {
    drain_first_ = false;
    return call(DrainCall{});
  }
  if (now < not_before_) return wake_at(not_before_);
  prepare_or_release(now, held);
}

void Rig::advance_away(Utc now) {
  if (recover_ && now > recover_->until) recover_.reset();
  if (recover_ && now >= not_before_) return call(ReopenCall{recover_->remedy, recover_->spare});
  if (recover_) wake_at(not_before_);
  // Frames run out of time one by one while the body is away; each says so when it does.
  if (orders_.empty() || !start_or_wait(now, orders_.front())) return;
  const auto& held = orders_.front();
  wake_at(held.frame().latest - lag_.most() - settings_time(held) + Duration{1});
}

/// True when the front order may be worked on now.
bool Rig::start_or_wait(Utc now, Held& held) {
  if (held.started) return true;
  if (now < held.order.prepare_from) {
    wake_at(held.order.prepare_from);
    return false;
  }
  held.started = now;
  output_.reports.emplace_back(order::OrderStarted{held.order.id, now});
  return true;
}

/// Closes what is cancelled or can't be taken any more, and orders without frames left, in turn.
void Rig::finish_orders(Utc now) {
  if (!orders_.empty() && orders_.front().cancelled)
    close_rest(now, orders_.front(), Outcome::cancelled, *orders_.front().cancelled);
  while (!orders_.empty()) {
    auto& held = orders_.front();
    skip_hopeless(now, held);
    if (held.frames_left()) break;
    output_.reports.emplace_back(order::OrderDone{held.order.id, now});
    orders_.pop_front();
    if (ready_) not_before_ = Utc::min();
  }
}

void Rig::skip_hopeless(Utc now, Held& held) {
  const auto& order = held.order;
  while (held.frames_left()) {
    const auto& frame = held.frame();
    const auto opens = std::max(now, not_before_) + settings_time(held) + lag_.most();
    if (opens <= opens_by(held)) return;
    auto outcome = Outcome::skipped;
    auto why = fmt::format("too late: the shutter would open {:.2f} s after its last instant",
                           in_seconds(opens - frame.latest));
    if (!ready_) {
      why = "the body was away";
    } else if (opens <= frame.latest) {
      outcome = Outcome::failed;
      why = fmt::format("the shutter would close too late with what the body is set to: {}", held.wrong);
    } else if (held.busy_answers > 0 && now - held.busy_since > usual_wait) {
      outcome = Outcome::failed;
      why = fmt::format("the body stayed busy: {}", held.busy_why);
    }
    if (order.whole_or_none && held.next == 0) return close_rest(now, held, outcome, why);
    close_frame(now, held, outcome, std::move(why));
  }
}

void Rig::prepare_or_release(Utc now, Held& held) {
  const auto& order = held.order;
  if (!held.settled && !as_wanted(held)) return call(wanted(held));
  const auto release = order.earliest - lag_.least();
  if (now < release) return wake_at(release);
  ReleaseCall asked{.frames = {}, .stop_by = opens_by(held)};
  // A body that wouldn't go into its burst takes the frames one by one.
  const bool together = drive_ == order.drive && order.drive != body::Drive::single;
  const auto last = together ? order.frames.size() : held.next + 1;
  for (auto n = held.next; n < last; ++n) {
    asked.frames.push_back(order.frames[n].id);
    if (drive_ == body::Drive::continuous) asked.stop_by = std::min(asked.stop_by, order.frames[n].latest);
  }
  asked.next = wanted_after(last);
  call(std::move(asked));
}

/// With `taken` frames of the order in progress done.
Utc Rig::wanted_after(std::size_t taken) const {
  if (taken < orders_.front().order.frames.size()) return Utc::min();
  return orders_.size() > 1 ? orders_[1].order.prepare_from : Utc::max();
}

SettingsCall Rig::wanted(const Held& held) {
  const auto& order = held.order;
  if (order.drive != body::Drive::bracket) return {held.frame().exposure, order.drive};
  if (held.one_by_one) return {held.frame().exposure, body::Drive::single};
  std::vector<exposure::Exposure> set;
  for (const auto& frame : order.frames) set.push_back(frame.exposure);
  return bracket_call(set);
}

bool Rig::as_wanted(const Held& held) const {
  const auto call = wanted(held);
  const bool bracket = drive_ != body::Drive::bracket || bracket_ == call.bracket;
  return settings_ == call.exposure && drive_ == call.drive && bracket;
}

Duration Rig::settings_time(const Held& held) const {
  if (held.settled || as_wanted(held)) return {};
  const auto call = wanted(held);
  const bool same = drive_ == call.drive && (call.bracket.empty() || bracket_ == call.bracket);
  const auto drive = same ? Duration{} : profile_.setting_times.drive;
  return drive + body::setting_time(profile_, settings_ ? &*settings_ : nullptr, call.exposure);
}

/// How long the shutter would be open now; where nothing is known, as long as the body can be set to.
Duration Rig::shown_open_time() const {
  if (settings_) return body::open_time(settings_->shutter);
  Duration longest{};
  for (const auto shutter : profile_.choices.shutters) longest = std::max(longest, body::open_time(shutter));
  return longest;
}

/// The last instant of the next frame: `latest` holds for the exposure asked for, and what the body kept
/// instead must be closed in time as well.
Utc Rig::opens_by(const Held& held) const {
  const auto& latest = held.frame().latest;
  return held.settled ? std::min(latest, held.order.closed_by - shown_open_time()) : latest;
}

/// The last word on the next frame of the order.
order::FrameDone Rig::frame_done(const Held& held, Outcome outcome, Utc at, std::string why) const {
  const auto& frame = held.frame();
  const bool of_bracket = drive_ == body::Drive::bracket && as_wanted(held);
  return {.order = held.order.id,
          .id = frame.id,
          .outcome = outcome,
          .at = at,
          .exposure = of_bracket ? frame.exposure : settings_.value_or(frame.exposure),
          .why = std::move(why)};
}

void Rig::close_frame(Utc now, Held& held, Outcome outcome, std::string why, Utc released) {
  auto done = frame_done(held, outcome, now, std::move(why));
  done.released = released;
  output_.reports.emplace_back(std::move(done));
  ++held.next;
  held.settled = false;
  held.wrong.clear();
  held.busy_answers = 0;
}

void Rig::close_rest(Utc now, Held& held, Outcome outcome, const std::string& why) {
  while (held.frames_left()) close_frame(now, held, outcome, why);
}

void Rig::call(DeviceCall device_call) {
  calling_ = device_call;
  output_.call = std::move(device_call);
}

void Rig::wake_at(Utc when) {
  output_.wake = output_.wake ? std::min(*output_.wake, when) : when;
}

}  // namespace noonfall::rig
