// `noonfall check`: can this plan be shot as written, and what will happen when.
#pragma once

#include "daemon/cli/command.h"

namespace noonfall::cli {

void add_check_command(CLI::App& app, Context& context);

}  // namespace noonfall::cli
