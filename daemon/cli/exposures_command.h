// `noonfall exposures`: the exposure table for one set of gear, before there is a plan.
#pragma once

#include "daemon/cli/command.h"

namespace noonfall::cli {

void add_exposures_command(CLI::App& app, Context& context);

}  // namespace noonfall::cli
