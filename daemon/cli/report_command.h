// `noonfall report`: what a shot log says was taken, against what was planned.
#pragma once

#include "daemon/cli/command.h"

namespace noonfall::cli {

void add_report_command(CLI::App& app, Context& context);

}  // namespace noonfall::cli
