// Runs a series on a simulated body in virtual time.
#pragma once

#include "lib/measure/series.h"
#include "lib/rig/camera.h"
#include "sim/body/simulated_body.h"

namespace noonfall::tests {

inline body::Description description_of(const body::Profile& profile) {
  body::Description told;
  told.serial = "3012345";
  told.model = "simulated " + profile.name;
  told.choices = profile.choices;
  told.offers_burst = !profile.continuous.empty();
  told.opening = body::OpeningStamp::told;
  told.card = body::Card{profile.card, profile.card, false};
  return told;
}

/// A body seen by a host that is told nothing of its shutter: a release is answered at once, a burst when the
/// body is free, pictures are announced as the card has them.
class HostView final : public rig::Camera {
 public:
  HostView(sim::SimulatedBody& body, const body::Profile& truth) : body_{body}, truth_{truth} {}

  rig::DeviceAnswer answer(const rig::DeviceCall& call, Utc now) override {
    auto answer = body_.answer(call, now);
    announced_.clear();
    for (auto& frame : answer.frames) {
      written_ =
          std::max(written_, frame.closed) + from_seconds(truth_.files.raw.value / truth_.write_rate.value);
      if (answer.frames.size() > 1) announced_.push_back(written_);
      const auto exposure = frame.closed - frame.opened;
      frame.opened = answer.released;
      frame.closed = answer.released + exposure;
    }
    if (answer.frames.size() == 1) answer.at = answer.released + std::chrono::milliseconds{2};
    return answer;
  }
  [[nodiscard]] const std::vector<Utc>& announced() const { return announced_; }

 private:
  sim::SimulatedBody& body_;
  const body::Profile& truth_;
  std::vector<Utc> announced_;
  Utc written_ = Utc::min();
};

inline measure::Series run_series(HostView& view, const measure::Subject& subject) {
  measure::Series series{subject};
  Utc now{std::chrono::hours{24 * 365 * 57}};
  while (const auto ask = series.next()) {
    const auto called = now + ask->rest;
    auto answer = view.answer(measure::call_at(*ask, called), called);
    now = answer.at;
    if (!view.announced().empty()) now = std::max(now, view.announced().back());
    series.hear(called, std::move(answer), view.announced());
  }
  return series;
}

inline measure::Series run_series(rig::Camera& camera, const measure::Subject& subject) {
  measure::Series series{subject};
  Utc now{std::chrono::hours{24 * 365 * 57}};
  while (const auto ask = series.next()) {
    const auto called = now + ask->rest;
    auto answer = camera.answer(measure::call_at(*ask, called), called);
    now = answer.at;
    series.hear(called, std::move(answer));
  }
  return series;
}

inline measure::Series run_series(sim::BodySetup setup) {
  const measure::Subject subject{setup.profile.choices, !setup.profile.continuous.empty()};
  sim::SimulatedBody body{std::move(setup)};
  return run_series(body, subject);
}

}  // namespace noonfall::tests
