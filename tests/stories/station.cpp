#include "tests/stories/station.h"

#include <utility>

namespace noonfall::stories {

void Station::kill() {
  rig_ = rig::Rig{index_, profile_};
  answer_.reset();
  wake_.reset();
  inbox_.clear();
  unheard_.clear();
  manned_ = false;
}

std::vector<order::HeldOrder> Station::man() {
  manned_ = true;
  std::vector<order::HeldOrder> held;
  for (auto& message : std::exchange(waiting_, {})) {
    if (const auto* order = std::get_if<order::Order>(&message)) held.push_back({order->id, {}});
    inbox_.emplace_back(std::move(message));
  }
  return held;
}

void Station::send(order::ToRig message) {
  if (manned_) {
    inbox_.emplace_back(std::move(message));
  } else {
    waiting_.push_back(std::move(message));
  }
}

Utc Station::next(const PlanClock& clock) const {
  if (!manned_) return Utc::max();
  auto when = wake_ ? clock.true_time(*wake_) : Utc::max();
  if (answer_) when = std::min(when, answer_->at);
  return when;
}

void Station::step(PlanClock& clock, const OnPicture& on_picture) {
  if (!manned_) return;
  const auto due = [&] {
    return !inbox_.empty() || (wake_ && *wake_ <= clock.now()) || (answer_ && answer_->at <= clock.truth());
  };
  while (due()) {
    if (answer_ && answer_->at <= clock.truth())
      inbox_.emplace_back(by_plan(*std::exchange(answer_, {}), clock));
    auto out = rig_.step(clock.now(), std::exchange(inbox_, {}));
    wake_ = out.wake;
    unheard_.insert(unheard_.end(), out.reports.begin(), out.reports.end());
    if (out.call) call(*out.call, clock, on_picture);
  }
}

void Station::report(std::vector<run::Input>& to_core) {
  for (auto& report : std::exchange(unheard_, {})) to_core.emplace_back(std::move(report));
}

void Station::call(const rig::DeviceCall& call, const PlanClock& clock, const OnPicture& on_picture) {
  const auto before = body_->taken().size();
  answer_ = body_->answer(call, clock.truth());
  for (auto n = before; n < body_->taken().size(); ++n)
    on_picture(rig_.held().front().order, body_->taken()[n]);
}

/// The body's word, as a host that goes by the plan's clock dates it.
rig::DeviceAnswer Station::by_plan(rig::DeviceAnswer answer, PlanClock& clock) {
  answer.at = clock.now();
  answer.released = clock.by_plan(answer.released);
  for (auto& frame : answer.frames) {
    frame.opened = clock.by_plan(frame.opened);
    frame.closed = clock.by_plan(frame.closed);
  }
  return answer;
}

}  // namespace noonfall::stories
