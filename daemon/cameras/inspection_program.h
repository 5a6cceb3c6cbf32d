// noonfall-camera as `noonfall cameras` starts it: --list, --measure or --try, lines of JSON on stdout.
#pragma once

#include <functional>
#include <memory>

#include "daemon/cameras/body_source.h"

namespace noonfall::cameras {

/// Makes the source of real bodies; empty where the program was built without the camera library.
using RealBodies = std::function<std::unique_ptr<BodySource>()>;

/// Whether the command line asks for an inspection.
[[nodiscard]] bool asks_for_inspection(int argc, const char* const* argv);

/// The exit code: 0; 2 for a wrong command line, 3 after a line that says "trouble".
[[nodiscard]] int run_inspection(int argc, char** argv, const RealBodies& real_bodies);

}  // namespace noonfall::cameras
