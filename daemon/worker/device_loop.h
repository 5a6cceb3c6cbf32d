// The thread that drives one rig and its body: steps lib/rig when its time has come, makes the call it asks
// for, and waits for the answer.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>

#include "daemon/worker/wait.h"
#include "daemon/worker/words.h"
#include "daemon/worker/worker_clock.h"
#include "lib/body/profile.h"
#include "lib/order/order.h"
#include "lib/rig/camera.h"

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

/// A small picture as it came, not looked at yet.
struct Preview {
  order::FrameDone frame;
  std::string jpeg;
};

/// The ends that the two threads share.
struct DeviceLine {
  Channel<order::ToRig> to_device;
  Channel<std::string> notes;
  Channel<order::Report> reports;  // its bell also rings when the loop has ended
  Channel<Preview> previews;
  CallUnderWay call;
  WorkerClock clock;                       // set before the first order is put
  std::atomic<Utc> next_due = Utc::min();  // see NextDue; in the past: not known
  std::atomic<int> battery_percent = -1;   // these two negative: not known
  std::atomic<int> card_frames = -1;
  std::atomic<bool> may_look = false;  // see MayLook
  StopSignal stop;
  std::atomic<bool> ended = false;

  [[nodiscard]] rig::Levels levels() const;
};

/// `line` in this thread and `device` in one of its own, to the end of both. What `line` throws stops the
/// other first.
void run_both(DeviceLine& ends, const std::function<void()>& device, const std::function<void()>& line);

/// Until a stop is requested; a call in progress is brought to its end and reported first.
void drive(std::int32_t rig, const body::Profile& profile, rig::Camera& camera, DeviceLine& line);

}  // namespace noonfall::worker
