// `noonfall rehearse`: the whole plan in virtual time on simulated bodies.
#pragma once

#include "daemon/cli/command.h"

namespace noonfall::cli {

void add_rehearse_command(CLI::App& app, Context& context);

}  // namespace noonfall::cli
