// The thread that drives one rig and its body: steps lib/rig when its time has come, makes the call it asks
// for, and waits for the answer.
#pragma once

#include <atomic>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/worker/channel.h"
#include "daemon/worker/stop_signal.h"
#include "daemon/worker/words.h"
#include "daemon/worker/worker_clock.h"
#include "lib/body/profile.h"
#include "lib/ports/camera.h"
#include "lib/rig/rig.h"

namespace noonfall::worker {

/// What the other thread reads while a call blocks, without a lock: a release waits for nobody.
class CallUnderWay {
 public:
  void begin(const char* what, BootTime since, BootTime deadline);
  void end() { what_.store(nullptr, std::memory_order_release); }
  [[nodiscard]] std::optional<Alive::Call> read() const;

 private:
  std::atomic<const char*> what_ = nullptr;
  std::atomic<std::int64_t> since_us_ = 0;
  std::atomic<std::int64_t> deadline_us_ = 0;
};

/// The ends that the two threads share.
struct DeviceLine {
  Channel<order::ToRig> to_device;
  Channel<std::string> notes;
  Channel<order::Report> reports;  // its bell also rings when the loop has ended
  CallUnderWay call;
  WorkerClock clock;  // set before the first order is put
  StopSignal stop;
  std::atomic<bool> ended = false;
};

class DeviceLoop {
 public:
  DeviceLoop(std::int32_t rig, const body::Profile& profile, ports::Camera& camera, DeviceLine& line);

  /// Until a stop is requested; a call in progress is brought to its end and reported first.
  void run();

 private:
  /// Steps the rig; what is left to wait for is its wake, or nothing.
  std::optional<Utc> work(std::vector<rig::Input> inputs = {});
  /// Looks after the body while nothing is due before `wake`; what is left to wait for then.
  std::optional<Utc> look_after(std::optional<Utc> wake);
  void pass_on(ports::Care& care);
  [[nodiscard]] rig::DeviceAnswer make(const rig::DeviceCall& call);

  std::int32_t index_;
  body::Profile profile_;
  rig::Rig rig_;
  ports::Camera& camera_;
  DeviceLine& line_;
  rig::SettingsCall settings_;  // last asked for
  Utc next_look_ = Utc::min();  // after the body
};

}  // namespace noonfall::worker
