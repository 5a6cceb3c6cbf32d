// The subcommands of `noonfall`, and what each is given and gives back.
#pragma once

#include <iosfwd>

#include "daemon/command_line/exit.h"
#include "lib/time/time_scales.h"

namespace noonfall::cli {

using command_line::Exit;

/// Lives as long as the program. Results go to `out`, diagnostics to `err`; the command run sets `exit`.
struct Context {
  std::ostream& out;
  std::ostream& err;
  LeapSeconds leap_seconds;
  Exit exit = Exit::done;
  std::istream* ask = nullptr;  // whoever sits at the terminal; none: nobody does
};

/// `noonfall eclipses`: the list of eclipses the program knows.
void add_eclipses_command(CLI::App& app, Context& context);
/// `noonfall contacts`: when the contacts happen at a site, or at every site of a list.
void add_contacts_command(CLI::App& app, Context& context);
/// `noonfall path DATE`: where the umbra goes.
void add_path_command(CLI::App& app, Context& context);
/// `noonfall limb`: makes a strip of lunar heights from an elevation image.
void add_limb_command(CLI::App& app, Context& context);
/// `noonfall exposures`: the exposure table for one set of gear, before there is a plan.
void add_exposures_command(CLI::App& app, Context& context);
/// `noonfall draft`: a plan for gear at a site.
void add_draft_command(CLI::App& app, Context& context);
/// `noonfall check`: can this plan be shot as written, and what will happen when.
void add_check_command(CLI::App& app, Context& context);
/// `noonfall rehearse`: the whole plan in virtual time on simulated bodies.
void add_rehearse_command(CLI::App& app, Context& context);
/// `noonfall report`: what a shot log says was taken, against what was planned.
void add_report_command(CLI::App& app, Context& context);
/// `noonfall collate`: which photograph is which frame.
void add_collate_command(CLI::App& app, Context& context);
/// `noonfall cameras`: which bodies are there and what would stop a run, measure one, try a plan's settings.
void add_cameras_command(CLI::App& app, Context& context);

}  // namespace noonfall::cli
