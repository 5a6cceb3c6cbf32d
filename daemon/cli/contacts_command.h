// `noonfall contacts`: when the contacts happen at a site, or at every site of a list.
#pragma once

#include "daemon/cli/command.h"

namespace noonfall::cli {

void add_contacts_command(CLI::App& app, Context& context);

}  // namespace noonfall::cli
