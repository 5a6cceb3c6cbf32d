#include "daemon/worker/device_loop.h"

#include <algorithm>
#include <thread>
#include <utility>
#include <vector>

#include "daemon/diagnostic/log.h"
#include "daemon/posix/boot_time.h"
#include "daemon/worker/call_deadline.h"
#include "lib/exposure/scale.h"
#include "lib/rig/rig.h"

namespace noonfall::worker {
namespace {

constexpr Duration care_patience = std::chrono::seconds{30};  // opening a body
constexpr Duration longest_care = std::chrono::minutes{3};    // listing a full card, when nothing is due
constexpr Duration always_free = std::chrono::seconds{3};     // for a look that takes a moment
constexpr Duration preview_time = std::chrono::seconds{5};    // has to be left before anything is due
constexpr Duration preview_period = std::chrono::minutes{2};

class DeviceLoop {
 public:
  DeviceLoop(std::int32_t rig, const body::Profile& profile, rig::Camera& camera, DeviceLine& line)
      : index_{rig}, profile_{profile}, rig_{rig, profile}, camera_{camera}, line_{line} {}

  void run() {
    while (!line_.stop.requested()) {
      std::optional<BootTime> wake;
      if (line_.clock.is_set()) {
        // What was due long ago, or always, is due now: so far back no clock reaches.
        if (const auto utc = look_at_picture(look_after(work())))
          wake = line_.clock.boot_at(std::max(*utc, line_.clock.now()));
      }
      if (line_.stop.requested()) break;
      wait_until(wake, {&line_.to_device.bell(), &line_.stop.bell()});
    }
    line_.ended = true;
    line_.reports.nudge();
  }

 private:
  /// Steps the rig; what is left to wait for is its wake, or nothing.
  std::optional<Utc> work(std::vector<rig::Input> inputs = {}) {
    for (auto& message : line_.to_device.take()) inputs.emplace_back(std::move(message));
    for (;;) {
      auto out = rig_.step(line_.clock.now(), inputs);
      inputs.clear();
      for (const auto& report : out.reports) note_picture(report);
      if (!out.reports.empty()) line_.reports.put(std::move(out.reports));
      rig_wake_ = out.wake;
      if (!out.call || line_.stop.requested()) return out.wake;
      inputs.emplace_back(make(*out.call));
      for (auto& message : line_.to_device.take()) inputs.emplace_back(std::move(message));
    }
  }

  /// Where it isn't known what is due next, anything may be asked at any moment.
  Utc quiet_until(Utc now, std::optional<Utc> wake) const {
    const Utc due = line_.next_due;
    return std::min(wake.value_or(Utc::max()), due > now ? due : now + always_free);
  }

  /// Looks after the body while nothing is due; what is left to wait for then.
  std::optional<Utc> look_after(std::optional<Utc> wake) {
    const auto now = line_.clock.now();
    if (!line_.stop.requested() && now >= next_look_) {
      const auto until = quiet_until(now, wake);
      const auto patience = std::clamp<Duration>(until - now, care_patience, longest_care);
      line_.call.begin("care", posix::boot_now(), line_.clock.boot_at(now + patience));
      auto care = camera_.look_after(now, until);
      line_.call.end();
      next_look_ = care.again.value_or(Utc::max());
      pass_on(care);
      if (care.gone) wake = work({*care.gone});
    }
    if (next_look_ == Utc::max()) return wake;
    return std::min(wake.value_or(next_look_), next_look_);
  }

  /// Of a set its shortest exposure: what is full in it is so in all of them.
  void note_picture(const order::Report& report) {
    const auto* done = std::get_if<order::FrameDone>(&report);
    if (done == nullptr || done->outcome != order::Outcome::fired || done->files.empty()) return;
    const bool same_set = picture_ && picture_->id.step == done->id.step && picture_->id.set == done->id.set;
    if (!same_set || exposure::shorter(done->exposure.shutter, picture_->exposure.shutter)) picture_ = *done;
  }

  /// Fetches one now and then, where nothing is due; what is left to wait for then.
  std::optional<Utc> look_at_picture(std::optional<Utc> wake) {
    if (!line_.may_look || !picture_ || line_.stop.requested()) return wake;
    const auto now = line_.clock.now();
    if (now < next_preview_) return std::min(wake.value_or(next_preview_), next_preview_);
    const auto until = quiet_until(now, rig_wake_);
    if (until - now < preview_time) return wake;
    line_.call.begin("preview", posix::boot_now(), line_.clock.boot_at(now + care_patience));
    auto jpeg = camera_.preview(picture_->files.front(), until);
    line_.call.end();
    if (jpeg && jpeg->size() <= largest_picture) line_.previews.put({{*picture_, std::move(*jpeg)}});
    line_.reports.nudge();
    picture_.reset();
    next_preview_ = now + preview_period;
    return wake;
  }

  void pass_on(rig::Care& care) {
    if (care.levels) {
      line_.battery_percent = care.levels->battery_percent.value_or(-1);
      line_.card_frames = care.levels->card_frames.value_or(-1);
    }
    if (!care.notes.empty()) line_.notes.put(std::move(care.notes));
    std::vector<order::Report> alarms;
    for (auto& alarm : care.alarms)
      alarms.emplace_back(order::RigState{index_, rig_.ready(), line_.clock.now(), std::move(alarm)});
    if (!alarms.empty()) line_.reports.put(std::move(alarms));
  }

  rig::DeviceAnswer make(const rig::DeviceCall& call) {
    if (const auto* asked = std::get_if<rig::SettingsCall>(&call)) settings_ = *asked;
    const auto now = line_.clock.now();
    const auto deadline = line_.clock.boot_at(call_deadline(call, settings_, profile_, now));
    line_.call.begin(call_word(call), posix::boot_now(), deadline);
    auto answer = camera_.answer(call, line_.clock.now());
    line_.call.end();
    spdlog::debug("{} took {:.1f} ms", call_word(call), in_milliseconds(line_.clock.now() - now));
    if (std::holds_alternative<rig::ReopenCall>(call)) next_look_ = Utc::min();
    return answer;
  }

  std::int32_t index_;
  body::Profile profile_;
  rig::Rig rig_;
  rig::Camera& camera_;
  DeviceLine& line_;
  std::optional<Utc> rig_wake_;              // the rig's own, without looks
  rig::SettingsCall settings_;               // last asked for
  Utc next_look_ = Utc::min();               // after the body
  std::optional<order::FrameDone> picture_;  // not looked at so far
  Utc next_preview_ = Utc::min();
};

}  // namespace

void CallUnderWay::begin(const char* what, BootTime since, BootTime deadline) {
  // Each deadline lies ahead, so a reader who sees an old word with a new one is merely patient.
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

rig::Levels DeviceLine::levels() const {
  const auto known = [](int level) { return level < 0 ? std::nullopt : std::optional{level}; };
  return {known(battery_percent), known(card_frames)};
}

void run_both(DeviceLine& ends, const std::function<void()>& device, const std::function<void()>& line) {
  const std::jthread device_thread{device};
  try {
    line();
  } catch (...) {
    ends.stop.request();
    throw;
  }
}

void drive(std::int32_t rig, const body::Profile& profile, rig::Camera& camera, DeviceLine& line) {
  DeviceLoop{rig, profile, camera, line}.run();
}

}  // namespace noonfall::worker
