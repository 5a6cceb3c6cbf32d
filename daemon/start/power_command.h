// The program that switches a body's power, where no command line names one.
#pragma once

#include <string>
#include <vector>

#include <sys/types.h>

#include "daemon/start/open_run.h"
#include "lib/base/result.h"

namespace noonfall::start {

inline constexpr const char* power_command_file = "/etc/noonfall/power";

/// The program and its arguments: one line, split at spaces; blank lines and those that begin with "#" don't
/// count. Empty where there is no file. It is run with our rights, so only `owner` may be able to write it.
[[nodiscard]] Result<std::vector<std::string>> read_power_command(
    const std::string& path = power_command_file, uid_t owner = 0);

/// `given` on a command line, else by that file; a rehearsal switches nothing that it wasn't told to. What is
/// wrong with the file stops nothing: it is a finding, and an alarm in the run's notes.
void choose_power_command(OpenedRun& run, const std::string& given, Diagnostics& findings);

}  // namespace noonfall::start
