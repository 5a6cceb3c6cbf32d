// Looks at everything around a run that can be looked at before it begins.
#pragma once

#include <functional>
#include <string>

#include "daemon/preflight/items.h"
#include "daemon/start/open_run.h"

namespace noonfall::preflight {

struct Surroundings {
  std::string camera;  // the program noonfall-camera
  LeapSeconds leap_seconds;
  std::string voice_device;  // empty: nothing is spoken here
  Duration voice_delay{};
  std::function<bool()> heard;  // asks a person; empty: nobody is there
  bool bodies = true;           // no worker holds them
};

/// Waits for the clock's sources 5 s at most, for bodies 20 s between two of their words.
[[nodiscard]] Items look_around(const start::OpenedRun& run, const Surroundings& around);

/// By /sys/class/power_supply and /proc/acpi/button/lid, below `root` for a test.
[[nodiscard]] Power read_power(const std::string& root = {});

}  // namespace noonfall::preflight
