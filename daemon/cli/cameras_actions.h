// What `noonfall cameras` does, one function an action.
#pragma once

#include <string>

#include "daemon/cameras/camera_process.h"
#include "daemon/cli/commands.h"
#include "daemon/cli/progress_line.h"

namespace noonfall::cli {

struct CamerasOptions {
  std::string camera;    // the program noonfall-camera
  std::string simulate;  // a body profile; empty: the bodies on the cables
  std::string files;     // of a simulated body
  std::string measure;
  std::string out;
  std::string try_plan;
  std::string bodies;
  bool json = false;
};

/// Each says what it found or why it can't, and sets how the command ends.
void list_cameras(const CamerasOptions& options, Context& context);
void measure_camera(const CamerasOptions& options, Context& context);
void try_plan(const CamerasOptions& options, Context& context);

/// The command of this mode, with what simulates a body.
[[nodiscard]] cameras::CameraCommand camera_command(const CamerasOptions& options,
                                                    std::vector<std::string> mode);

}  // namespace noonfall::cli
