// From a command line to a run that can start, or go on: its folder, its plan resolved, and what its log says
// of before.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/command_line/exit.h"
#include "daemon/journal/run_folder.h"
#include "daemon/journal/run_settings.h"
#include "daemon/journal/shot_journal.h"
#include "daemon/start/run_request.h"
#include "lib/run/run.h"
#include "lib/shotlog/account.h"
#include "lib/timeline/timeline.h"
#include "sim/body/fault.h"

namespace noonfall::start {

struct OpenedRun {
  std::unique_ptr<journal::RunFolder> folder;
  journal::RunSettings settings;
  timeline::Timeline timeline;  // moved, when the run is
  run::Facts facts;
  std::vector<std::vector<sim::Fault>> faults;  // of simulated bodies, by rig
  std::vector<std::string> serials;             // of bodies on cables, by rig; empty for others
  std::unique_ptr<journal::ShotJournal> journal;
  std::optional<shotlog::Account> before;
  std::vector<std::string> power_command;  // switches a body's power; empty: nothing does
  std::vector<std::string> notes;          // for the log
  std::vector<std::string> alarms;         // for the screen too
};

struct Opening {
  std::optional<OpenedRun> run;
  Diagnostics findings;  // warnings too
  command_line::Exit exit = command_line::Exit::done;
  std::string done;  // said, and nothing more to do: the run is over
};

/// `now` by the host's clock. Whatever the sky leaves no room for at the plan's site is left out, with
/// warnings.
[[nodiscard]] Opening open_run(const RunRequest& request, Utc now);

}  // namespace noonfall::start
