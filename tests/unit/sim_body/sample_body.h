// A body with round figures and no jitter, and short ways to call it.
#pragma once

#include <ostream>
#include <utility>
#include <vector>

#include "lib/time/utc_text.h"
#include "sim/body/simulated_body.h"

namespace noonfall::rig {

inline std::ostream& operator<<(std::ostream& out, Answer answer) {
  constexpr const char* words[] = {"ok", "busy", "refused", "gone", "no word"};
  return out << words[static_cast<int>(answer)];
}

}  // namespace noonfall::rig

namespace noonfall::sim {

using namespace std::chrono_literals;
using body::Drive;
using exposure::Exposure;
using exposure::FNumber;
using exposure::Iso;
using exposure::Shutter;
using rig::Answer;
using rig::DeviceAnswer;

inline constexpr Utc noon{std::chrono::sys_days{std::chrono::year{2027} / 8 / 2} + 12h};
inline constexpr Shutter eighth{1, 8};
inline constexpr Shutter quarter{1, 4};
inline constexpr Shutter two_seconds{2, 1};

/// Stands at 1/8, ISO 100 when powered on.
inline body::Profile round_profile() {
  body::Profile profile;
  profile.name = "round figures";
  profile.choices = {{eighth, quarter, {1, 2}, {1, 1}, two_seconds}, {{56}, {80}}, {{100}, {200}, {400}}};
  profile.setting_times = {40ms, 30ms, 20ms, 200ms};
  profile.release = {60ms, 0ms};
  profile.single = {{125ms, 400ms}, {2s, 2300ms}};
  profile.continuous = {{125ms, 150ms}, {2s, 2050ms}};
  profile.readout = 80ms;
  profile.buffer = {300};
  profile.write_rate = {100};
  profile.files = {{30}, {10}};
  profile.battery_frames = 1000;
  profile.card = {64'000};
  return profile;
}

inline BodySetup round_setup(std::vector<Fault> faults = {}) {
  return {round_profile(), body::Files::raw, 7, 1, std::move(faults)};
}

inline Exposure at(Shutter shutter) {
  return {shutter, FNumber{80}, Iso{100}};
}

inline rig::SettingsCall settings(Shutter shutter, Drive drive = Drive::single) {
  return {at(shutter), drive};
}

inline rig::ReleaseCall frames(int first, int count, Utc stop_by = Utc::max()) {
  rig::ReleaseCall call{{}, stop_by};
  for (int n = first; n < first + count; ++n) call.frames.push_back({0, 0, 1, n});
  return call;
}

/// The body with these settings sent, and the instant from which it takes the next call.
struct Ready {
  SimulatedBody body;
  Utc now = noon;

  Ready(BodySetup setup, Shutter shutter, Drive drive = Drive::single) : body(std::move(setup)) {
    call(settings(shutter, drive));
  }
  DeviceAnswer call(const rig::DeviceCall& what) {
    auto answer = body.answer(what, now);
    now = answer.at;
    return answer;
  }
};

}  // namespace noonfall::sim
