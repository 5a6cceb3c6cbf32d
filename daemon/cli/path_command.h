// `noonfall path DATE`: where the umbra goes.
#pragma once

#include "daemon/cli/command.h"

namespace noonfall::cli {

void add_path_command(CLI::App& app, Context& context);

}  // namespace noonfall::cli
