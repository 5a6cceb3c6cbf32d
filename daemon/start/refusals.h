// What a run that could be read isn't begun with: a plan that is over, and bodies nobody can drive.
#pragma once

#include <optional>
#include <string>

#include "daemon/command_line/refusal.h"
#include "daemon/journal/run_settings.h"
#include "daemon/start/run_request.h"
#include "lib/base/diagnostic.h"
#include "lib/plan/plan.h"
#include "lib/time/utc.h"
#include "lib/timeline/timeline.h"

namespace noonfall::start {

/// By a clock that is far off, every frame would be passed over and the run be spent.
[[nodiscard]] std::optional<Diagnostic> nothing_to_come(const timeline::Timeline& timeline, Utc now);

/// A run goes on as it was begun: a warning for each word of the command line that isn't taken for that.
[[nodiscard]] Diagnostics not_taken(const RunRequest& request, const journal::RunSettings& begun,
                                    const std::string& folder);

/// Whether there is a camera library to drive bodies on cables with.
enum class OnCables { driven, not_driven };

/// Refuses a plan for real bodies with any that can't be shot with, each at its rig's place: no serial
/// number, one that another rig has too, or no library.
[[nodiscard]] command_line::Checked check_bodies(const plan::Plan& plan, OnCables cables);

/// Refuses simulated bodies that can't be shot with by the camera library as asked.
[[nodiscard]] command_line::Checked check_wire(const RunRequest& request);

}  // namespace noonfall::start
