// Reads a program's command line.
#pragma once

#include <optional>

#include "daemon/cli/command.h"

namespace noonfall::cli {

/// The exit code, when the line is wrong or asked for no more than help; CLI11 has printed what there is to
/// say.
[[nodiscard]] std::optional<int> parse_line(CLI::App& app, int argc, const char* const* argv);

}  // namespace noonfall::cli
