#include "daemon/worker/device_loop.h"

#include <utility>

#include "daemon/posix/boot_time.h"
#include "daemon/worker/call_deadline.h"

namespace noonfall::worker {

void CallUnderWay::begin(const char* what, BootTime since, BootTime deadline) {
  // Deadlines only rise, so a reader who sees an old word with a new deadline is merely patient.
  since_us_ = since.time_since_epoch().count();
  deadline_us_ = deadline.time_since_epoch().count();
  what_.store(what, std::memory_order_release);
}

std::optional<Alive::Call> CallUnderWay::read() const {
  const auto* what = what_.load(std::memory_order_acquire);
  if (what == nullptr) return std::nullopt;
  return Alive::Call{what, BootTime{BootClock::duration{since_us_}},
                     BootTime{BootClock::duration{deadline_us_}}};
}

DeviceLoop::DeviceLoop(std::int32_t rig, const body::Profile& profile, ports::Camera& camera,
                       DeviceLine& line)
    : profile_{profile}, rig_{rig, profile}, camera_{camera}, line_{line} {}

void DeviceLoop::run() {
  while (!line_.stop.requested()) {
    std::optional<BootTime> wake;
    if (line_.clock.is_set()) {
      if (const auto utc = work()) wake = line_.clock.boot_at(*utc);
    }
    if (line_.stop.requested()) break;
    wait_until(wake, {&line_.to_device.bell(), &line_.stop.bell()});
  }
  line_.ended = true;
  line_.reports.nudge();
}

std::optional<Utc> DeviceLoop::work() {
  std::vector<rig::Input> inputs;
  for (auto& message : line_.to_device.take()) inputs.emplace_back(std::move(message));
  for (;;) {
    auto out = rig_.step(line_.clock.now(), inputs);
    inputs.clear();
    if (!out.reports.empty()) line_.reports.put(std::move(out.reports));
    if (!out.call || line_.stop.requested()) return out.wake;
    inputs.emplace_back(make(*out.call));
    for (auto& message : line_.to_device.take()) inputs.emplace_back(std::move(message));
  }
}

rig::DeviceAnswer DeviceLoop::make(const rig::DeviceCall& call) {
  if (const auto* asked = std::get_if<rig::SettingsCall>(&call)) settings_ = *asked;
  const auto now = line_.clock.now();
  const auto deadline = line_.clock.boot_at(call_deadline(call, settings_, profile_, now));
  line_.call.begin(call_word(call), posix::boot_now(), deadline);
  auto answer = camera_.answer(call, line_.clock.now());
  line_.call.end();
  return answer;
}

}  // namespace noonfall::worker
