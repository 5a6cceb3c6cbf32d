// `noonfall limb`: makes a strip of lunar heights from an elevation image.
#pragma once

#include "daemon/cli/command.h"

namespace noonfall::cli {

void add_limb_command(CLI::App& app, Context& context);

}  // namespace noonfall::cli
