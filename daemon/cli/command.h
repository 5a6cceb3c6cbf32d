// What every subcommand of `noonfall` is given and gives back.
#pragma once

#include <iosfwd>

#include "lib/time/leap_seconds.h"

// Costly to include: only what looks inside does.
namespace CLI {
class App;
}

namespace noonfall::cli {

/// Exit codes scripts rely on (docs and README name them).
enum class Exit {
  done = 0,
  work_has_errors = 1,  // the plan, site or run has errors; the work was understood
  bad_command_line = 2,
  environment = 3,  // a file can't be read or written, no camera, disk full
};

/// Lives as long as the program. Results go to `out`, diagnostics to `err`; the command run sets `exit`.
struct Context {
  std::ostream& out;
  std::ostream& err;
  LeapSeconds leap_seconds;
  Exit exit = Exit::done;
};

}  // namespace noonfall::cli
