// The program for before and after the day: everything but the shooting itself.
#include <unistd.h>

#include <iostream>

#include <CLI/CLI.hpp>

#include "daemon/cli/commands.h"
#include "daemon/command_line/parse_line.h"
#include "daemon/command_line/plain_output.h"
#include "daemon/load/leap_second_file.h"
#include "daemon/load/limb_data.h"

namespace {

using namespace noonfall;

int run(int argc, char** argv) {
  CLI::App app{
      "noonfall photographs a solar eclipse hands-off: contact times, exposures, plans, rehearsals, "
      "reports."};
  app.require_subcommand(1);
  command_line::introduce(app, "noonfall", load::data_versions);
  cli::Context context{std::cout, std::cerr, load::newest_leap_seconds()};
  if (isatty(STDIN_FILENO) != 0 && isatty(STDERR_FILENO) != 0) context.ask = &std::cin;
  cli::add_eclipses_command(app, context);
  cli::add_contacts_command(app, context);
  cli::add_path_command(app, context);
  cli::add_draft_command(app, context);
  cli::add_check_command(app, context);
  cli::add_exposures_command(app, context);
  cli::add_limb_command(app, context);
  cli::add_rehearse_command(app, context);
  cli::add_cameras_command(app, context);
  cli::add_report_command(app, context);
  cli::add_collate_command(app, context);
  if (const auto exit = command_line::parse_line(app, argc, argv)) return *exit;
  std::cout.flush();
  if (!std::cout) {
    std::cerr << "noonfall: can't write the results: is the disk full?\n";
    return static_cast<int>(cli::Exit::environment);
  }
  return static_cast<int>(context.exit);
}

}  // namespace

int main(int argc, char** argv) {
  const command_line::PlainOutput plain_out{std::cout};
  const command_line::PlainOutput plain_err{std::cerr};
  try {
    return run(argc, argv);
  } catch (const std::exception& error) {
    std::cerr << "noonfall: " << error.what() << '\n';
    return static_cast<int>(cli::Exit::environment);
  }
}
