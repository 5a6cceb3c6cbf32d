// Bodies with round numbers, so that a test's expectations can be added up in the head.
#pragma once

#include "lib/body/profile.h"
#include "lib/exposure/scale.h"

namespace noonfall::tests {

inline body::Profile round_body() {
  using namespace std::chrono_literals;
  body::Profile profile;
  profile.name = "round";
  const auto shutters = exposure::third_stop_shutters();
  const auto apertures = exposure::third_stop_f_numbers();
  const auto isos = exposure::third_stop_isos();
  profile.choices.shutters.assign(shutters.begin(), shutters.end());
  profile.choices.apertures.assign(apertures.begin(), apertures.end());
  profile.choices.isos.assign(isos.begin(), isos.end());
  profile.setting_times = {40ms, 80ms, 30ms, 60ms};
  profile.release = {100ms, 20ms};
  profile.single = {{0ms, 200ms}, {500ms, 700ms}, {1s, 1400ms}};
  profile.continuous = {{0ms, 50ms}, {125ms, 150ms}};
  profile.readout = 10ms;
  profile.buffer = {100};
  profile.write_rate = {20};
  profile.files = {{20}, {5}};
  profile.shutter_types = {body::ShutterType::mechanical};
  profile.battery_frames = 500;
  profile.card = {64'000};
  return profile;
}

}  // namespace noonfall::tests
