// What the end of a program tells whoever started it.
#pragma once

// Costly to include: only what looks inside does.
namespace CLI {
class App;
}

namespace noonfall::command_line {

/// Exit codes scripts rely on (docs and README name them).
enum class Exit {
  done = 0,
  work_has_errors = 1,  // the plan, site or run has errors; the work was understood
  bad_command_line = 2,
  environment = 3,  // a file can't be read or written, no camera, disk full
};

}  // namespace noonfall::command_line
