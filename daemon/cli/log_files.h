// Shot logs named on the command line, read back.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "daemon/cli/commands.h"
#include "lib/base/diagnostic.h"
#include "lib/shotlog/replay.h"

namespace noonfall::cli {

/// Says what is wrong; false, for the caller to give back.
bool refuse(const Diagnostics& why, Context& context, Exit exit = Exit::environment);

/// In turn; empty after saying which can't be read or is no log. Damage within is told, and sets the exit
/// code.
[[nodiscard]] std::optional<std::vector<shotlog::Replayed>> read_logs(const std::vector<std::string>& paths,
                                                                      Context& context);

}  // namespace noonfall::cli
