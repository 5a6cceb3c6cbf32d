// Reads a program's command line.
#pragma once

#include <optional>

#include <CLI/CLI.hpp>

#include "daemon/cli/command.h"

namespace noonfall::cli {

/// The exit code, when the line is wrong or asked for no more than help; CLI11 has printed what there is to
/// say.
[[nodiscard]] inline std::optional<int> parse_line(CLI::App& app, int argc, const char* const* argv) {
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? 0 : static_cast<int>(Exit::bad_command_line);
  }
  return std::nullopt;
}

}  // namespace noonfall::cli
