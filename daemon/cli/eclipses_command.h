// `noonfall eclipses`: the list of eclipses the program knows.
#pragma once

#include "daemon/cli/command.h"

namespace noonfall::cli {

void add_eclipses_command(CLI::App& app, Context& context);

}  // namespace noonfall::cli
