// One body to hold to the contract of lib/rig/camera.h, whatever it is made of.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "daemon/posix/boot_time.h"
#include "daemon/worker/wait.h"
#include "daemon/worker/worker_clock.h"
#include "lib/rig/camera.h"
#include "sim/body/simulated_body.h"
#include "tests/wire/bodies.h"

namespace noonfall::tests {

class ContractBody {
 public:
  ContractBody() { clock_.set({posix::boot_now(), utc_now(), 1}); }
  virtual ~ContractBody() = default;
  ContractBody(const ContractBody&) = delete;
  ContractBody& operator=(const ContractBody&) = delete;

  /// Every picture it really took, where that can be known.
  [[nodiscard]] virtual std::vector<sim::RecordedFrame> taken() const = 0;

  [[nodiscard]] Utc now() { return clock_.now(); }
  [[nodiscard]] rig::DeviceAnswer set(const exposure::Exposure& exposure,
                                      body::Drive drive = body::Drive::single);
  /// Asks again while the body is busy, as a rig does.
  [[nodiscard]] rig::DeviceAnswer set_when_free(const exposure::Exposure& exposure,
                                                body::Drive drive = body::Drive::single);
  [[nodiscard]] rig::DeviceAnswer set_when_free(const rig::SettingsCall& call);
  [[nodiscard]] rig::DeviceAnswer release(int frames = 1);
  [[nodiscard]] rig::DeviceAnswer release_when_free(int frames = 1);
  [[nodiscard]] rig::DeviceAnswer drain() { return ask(rig::DrainCall{}); }
  [[nodiscard]] rig::DeviceAnswer reopen(order::Remedy remedy = order::Remedy::reopen) {
    return ask(rig::ReopenCall{remedy});
  }
  [[nodiscard]] rig::Care look_after() { return camera().look_after(now(), Utc::max()); }

 protected:
  [[nodiscard]] virtual rig::Camera& camera() = 0;
  worker::WorkerClock clock_;
  worker::StopSignal stop_;

 private:
  [[nodiscard]] rig::DeviceAnswer ask(const rig::DeviceCall& call);
  int frames_ = 0;
};

/// A kind of body, with these faults, which may name instants from now on.
struct BodyKind {
  /// What a family of bodies can tell and do, and others can't.
  struct Ways {
    /// A silent body says nothing of a picture, nor of a release that came too early and did nothing; one
    /// that has them fetched is asked for what it holds.
    enum class Pictures { silent, fetched, announced };
    Pictures pictures = Pictures::announced;
    bool bursts = true;
    [[nodiscard]] bool is_silent() const { return pictures == Pictures::silent; }
  };
  std::string name;
  std::function<std::unique_ptr<ContractBody>(const std::vector<sim::Fault>&)> make;
  // Two exposures that it has.
  exposure::Exposure quick{{1, 500}, exposure::FNumber{80}, {400}};
  exposure::Exposure other{{1, 60}, exposure::FNumber{56}, {800}};
  Ways ways = {};
};

/// The profile every one of them is driven by.
[[nodiscard]] body::Profile contract_profile();

}  // namespace noonfall::tests
