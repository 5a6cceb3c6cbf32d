// What a run has to do with bodies on cables.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "daemon/command_line/exit.h"
#include "daemon/start/run_request.h"
#include "lib/base/diagnostic.h"
#include "lib/plan/plan.h"
#include "lib/timeline/timeline.h"

namespace noonfall::start {

/// By lane; empty for rigs whose body isn't on a cable.
[[nodiscard]] std::vector<std::string> serials_of(const plan::Plan& plan, const timeline::Timeline& timeline);

struct WireRefusal {
  Diagnostic why;
  command_line::Exit exit = command_line::Exit::bad_command_line;
};
/// Why simulated bodies can't be shot with by the camera library, as asked.
[[nodiscard]] std::optional<WireRefusal> no_wire(const RunRequest& request);

}  // namespace noonfall::start
