#include "daemon/worker/device_loop.h"

#include <algorithm>
#include <utility>

#include "daemon/posix/boot_time.h"
#include "daemon/worker/call_deadline.h"

namespace noonfall::worker {
namespace {

constexpr Duration care_patience = std::chrono::seconds{30};  // opening a body, or listing a full card

}  // namespace

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
    : index_{rig}, profile_{profile}, rig_{rig, profile}, camera_{camera}, line_{line} {}

void DeviceLoop::run() {
  while (!line_.stop.requested()) {
    std::optional<BootTime> wake;
    if (line_.clock.is_set()) {
      if (const auto utc = look_after(work())) wake = line_.clock.boot_at(*utc);
    }
    if (line_.stop.requested()) break;
    wait_until(wake, {&line_.to_device.bell(), &line_.stop.bell()});
  }
  line_.ended = true;
  line_.reports.nudge();
}

std::optional<Utc> DeviceLoop::work(std::vector<rig::Input> inputs) {
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

std::optional<Utc> DeviceLoop::look_after(std::optional<Utc> wake) {
  const auto now = line_.clock.now();
  if (!line_.stop.requested() && now >= next_look_) {
    line_.call.begin("care", posix::boot_now(), line_.clock.boot_at(now + care_patience));
    auto care = camera_.look_after(now, wake.value_or(Utc::max()));
    line_.call.end();
    next_look_ = care.again.value_or(Utc::max());
    pass_on(care);
    if (care.gone) wake = work({*care.gone});
  }
  if (next_look_ == Utc::max()) return wake;
  return std::min(wake.value_or(next_look_), next_look_);
}

void DeviceLoop::pass_on(ports::Care& care) {
  if (!care.notes.empty()) line_.notes.put(std::move(care.notes));
  std::vector<order::Report> alarms;
  for (auto& alarm : care.alarms)
    alarms.emplace_back(order::RigState{index_, rig_.ready(), line_.clock.now(), std::move(alarm)});
  if (!alarms.empty()) line_.reports.put(std::move(alarms));
}

rig::DeviceAnswer DeviceLoop::make(const rig::DeviceCall& call) {
  if (const auto* asked = std::get_if<rig::SettingsCall>(&call)) settings_ = *asked;
  const auto now = line_.clock.now();
  const auto deadline = line_.clock.boot_at(call_deadline(call, settings_, profile_, now));
  line_.call.begin(call_word(call), posix::boot_now(), deadline);
  auto answer = camera_.answer(call, line_.clock.now());
  line_.call.end();
  if (std::holds_alternative<rig::ReopenCall>(call)) next_look_ = Utc::min();
  return answer;
}

}  // namespace noonfall::worker
