// One noonfall-camera that inspects: started, listened to line by line, and never waited for in vain.
#pragma once

#include <chrono>
#include <functional>
#include <string>
#include <vector>

#include "daemon/cameras/inspection_words.h"
#include "lib/base/result.h"

namespace noonfall::cameras {

struct CameraCommand {
  std::string executable;
  std::vector<std::string> arguments;
  std::string profile = {};           // the text of a body profile to simulate; empty: as the arguments say
  std::string input = {};             // on its stdin
  std::chrono::seconds patience{90};  // between two lines: a driver may hang for good
};

/// Runs it to its end. It gets the C locale, UTC and a home of its own that is gone afterwards; of our
/// environment only where the camera library looks for its drivers and bodies. The error is why it couldn't
/// be started, said something else, hung (then it is ended), or what trouble it said.
[[nodiscard]] Result<void> run_camera(const CameraCommand& command,
                                      const std::function<void(const Said&)>& heard);

}  // namespace noonfall::cameras
