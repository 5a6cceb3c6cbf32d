// A simulated body that takes as long as a real one would.
#pragma once

#include <functional>

#include "daemon/worker/wait.h"
#include "daemon/worker/worker_clock.h"
#include "lib/rig/camera.h"
#include "sim/body/simulated_body.h"

namespace noonfall::worker {

/// The small picture, a JPEG, of what a simulated body took.
using Draw = std::function<std::string(const sim::RecordedFrame&)>;

/// Each call blocks until its answer is due by the plan's clock. A picture is given to `on_picture` when the
/// body is bound to take it: with the release call, later ones of a burst as their shutters open. A stop cuts
/// calls short, but a frame begun is finished.
class PacedBody final : public rig::Camera {
 public:
  PacedBody(sim::BodySetup setup, WorkerClock& clock, const StopSignal& stop,
            std::function<void(const sim::RecordedFrame&)> on_picture, Draw draw = {});

  [[nodiscard]] rig::DeviceAnswer answer(const rig::DeviceCall& call, Utc now) override;
  [[nodiscard]] rig::Care look_after(Utc now, Utc until) override;
  [[nodiscard]] std::optional<std::string> preview(const std::string& file, Utc until) override;

 private:
  void wait(Utc until);
  void wait_through(Utc until);
  void live_through_frames(std::size_t first, rig::DeviceAnswer& answer);

  sim::SimulatedBody body_;
  WorkerClock& clock_;
  const StopSignal& stop_;
  std::function<void(const sim::RecordedFrame&)> on_picture_;
  Draw draw_;
};

}  // namespace noonfall::worker
