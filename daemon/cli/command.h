// What every subcommand of `noonfall` is given and gives back.
#pragma once

#include <iosfwd>

#include "daemon/command_line/exit.h"
#include "lib/time/leap_seconds.h"

namespace noonfall::cli {

using command_line::Exit;

/// Lives as long as the program. Results go to `out`, diagnostics to `err`; the command run sets `exit`.
struct Context {
  std::ostream& out;
  std::ostream& err;
  LeapSeconds leap_seconds;
  Exit exit = Exit::done;
};

}  // namespace noonfall::cli
