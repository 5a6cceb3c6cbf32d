#include "daemon/cli/parse_line.h"

#include <CLI/CLI.hpp>

namespace noonfall::cli {

std::optional<int> parse_line(CLI::App& app, int argc, const char* const* argv) {
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? 0 : static_cast<int>(Exit::bad_command_line);
  }
  return std::nullopt;
}

}  // namespace noonfall::cli
