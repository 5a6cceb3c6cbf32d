// Reads a program's command line.
#pragma once

#include <optional>
#include <string>

#include "daemon/command_line/exit.h"

namespace noonfall::command_line {

/// What our programs share: --version prints "PROGRAM 0.1.0" and then what `data` says, and what is wrong
/// with a line, which may quote anything, is said in one plain line.
void introduce(CLI::App& app, const std::string& program, std::string (*data)() = nullptr);

/// The exit code, when the line is wrong or asked for no more than help; what there is to say has been
/// printed. A command that isn't there is answered with the nearest one that is.
[[nodiscard]] std::optional<int> parse_line(CLI::App& app, int argc, const char* const* argv);

}  // namespace noonfall::command_line
