// What the daemon's command line asks for.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "daemon/load/limb_data.h"
#include "lib/shotlog/line.h"
#include "lib/time/time_scales.h"

namespace noonfall::start {

struct RunRequest {
  std::string plan;  // a file; may be empty where the folder has a run already
  bool simulate = false;
  bool wire = false;          // simulated bodies at the end of a cable, by the camera library
  bool can_drive = false;     // this program was built with the camera library
  std::string move;           // as given; empty for none
  std::string state;          // the run's folder; empty for the usual one
  std::string bodies;         // a folder of further body profiles
  std::string faults;         // a fault script for simulated bodies
  std::string power_command;  // a program and its arguments, by spaces; empty for what /etc says
  std::optional<double> speed;
  std::optional<std::uint64_t> seed;
  std::optional<double> detune;
  bool amend = false;   // take a changed plan, site or body
  bool afresh = false;  // put a rehearsal that is there aside and begin another
  LeapSeconds leap_seconds;
  load::LimbRequest limb;

  [[nodiscard]] shotlog::Mode mode() const {
    if (simulate) return shotlog::Mode::simulated;
    return move.empty() ? shotlog::Mode::event : shotlog::Mode::dress;
  }
};

}  // namespace noonfall::start
