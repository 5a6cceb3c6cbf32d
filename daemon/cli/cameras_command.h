// `noonfall cameras`: which bodies are there and what would stop a run, measure one, try a plan's settings.
#pragma once

#include "daemon/cli/command.h"

namespace noonfall::cli {

void add_cameras_command(CLI::App& app, Context& context);

}  // namespace noonfall::cli
