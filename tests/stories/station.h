// A rig with its body and the line to the core, as one worker holds them; the body lives by true time.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "lib/rig/rig.h"
#include "lib/run/input_output.h"
#include "sim/body/simulated_body.h"
#include "tests/stories/plan_clock.h"

namespace noonfall::stories {

class Station {
 public:
  /// A picture was taken: by which order, which, and when the release was called.
  using OnPicture = std::function<void(std::int64_t order, const sim::RecordedFrame&)>;

  Station(std::int32_t index, std::string name, std::shared_ptr<sim::SimulatedBody> body,
          const body::Profile& profile)
      : index_{index},
        name_{std::move(name)},
        profile_{profile},
        body_{std::move(body)},
        rig_{index, profile} {}

  [[nodiscard]] bool serves(const std::string& name, const body::Profile& profile) const {
    return name_ == name && profile_ == profile;
  }
  [[nodiscard]] bool manned() const { return manned_; }
  [[nodiscard]] run::Attached attached() const { return {index_, rig_.held()}; }

  /// The worker is killed, its unheard reports are lost; what the core sends waits for the next one.
  void kill();
  /// Another one is there; returns what was sent meanwhile, which it holds now.
  std::vector<order::HeldOrder> man();
  void send(order::ToRig message);

  /// The next instant of true time at which something is to be done.
  [[nodiscard]] Utc next(const PlanClock& clock) const;
  void step(PlanClock& clock, const OnPicture& on_picture);
  /// Hands over what the core hasn't heard yet.
  void report(std::vector<run::Input>& to_core);

 private:
  void call(const rig::DeviceCall& call, const PlanClock& clock, const OnPicture& on_picture);
  [[nodiscard]] static rig::DeviceAnswer by_plan(rig::DeviceAnswer answer, PlanClock& clock);

  std::int32_t index_;
  std::string name_;
  body::Profile profile_;
  std::shared_ptr<sim::SimulatedBody> body_;
  rig::Rig rig_;
  bool manned_ = true;
  std::optional<Utc> wake_;
  std::optional<rig::DeviceAnswer> answer_;  // on its way, in true time
  std::vector<rig::Input> inbox_;
  std::vector<order::ToRig> waiting_;
  std::vector<order::Report> unheard_;
};

}  // namespace noonfall::stories
