// Where run folders are kept when nobody names one.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "lib/base/result.h"
#include "lib/shotlog/line.h"

namespace noonfall::journal {

/// The variables that decide it; empty when unset.
struct StateEnvironment {
  std::string state_directory;  // STATE_DIRECTORY, from systemd
  std::string xdg_state_home;   // XDG_STATE_HOME
  std::string home;             // HOME
};
[[nodiscard]] StateEnvironment state_environment();

/// $STATE_DIRECTORY (the first of several), else $XDG_STATE_HOME/noonfall, else ~/.local/state/noonfall. As
/// the XDG base directory specification asks, paths that aren't absolute don't count.
[[nodiscard]] Result<std::string> state_root(const StateEnvironment& environment);

/// Below the root: the plan file's name without its extension, and the mode: "two-rigs-2027-event".
[[nodiscard]] std::string run_folder_name(std::string_view plan_path, shotlog::Mode mode);

/// The folders of this user's runs that are going on and can be told something, wherever they lie, by name.
/// Found by the locks that processes hold: nothing is left behind by one that was killed.
[[nodiscard]] std::vector<std::string> live_runs();

}  // namespace noonfall::journal
