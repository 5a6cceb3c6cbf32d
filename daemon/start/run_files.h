// What lies in a run's folder beside its log: the plan, profiles and faults it runs by, so that a restart
// needs nothing else.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "daemon/journal/run_folder.h"
#include "daemon/journal/run_settings.h"
#include "daemon/load/plan_loading.h"
#include "daemon/start/run_request.h"
#include "lib/base/result.h"

namespace noonfall::start {

/// The plan's text, which can be read again by a restart. Errors ("file") say why not.
[[nodiscard]] Result<std::string> plan_to_keep(const std::string& path);

/// Of a run yet to begin.
[[nodiscard]] journal::RunSettings settings_asked(const RunRequest& request);

/// The settings of a run that was begun here; nothing in a new folder.
[[nodiscard]] Result<std::optional<journal::RunSettings>> read_settings(const journal::RunFolder& folder);

/// What to raise an alarm about before going on in a folder that others may write to: for the event alone,
/// which must not be lost for a folder's sake; any other run is refused there.
[[nodiscard]] Result<std::vector<std::string>> alarms_of(const journal::RunFolder& folder,
                                                         const std::optional<journal::RunSettings>& begun);

/// Everything but the settings first, so that settings stand only beside whole copies. `faults` empty for
/// none.
[[nodiscard]] Result<void> keep_files(const journal::RunFolder& folder, const journal::RunSettings& settings,
                                      const load::LoadedPlan& plan, const std::string& faults);

/// Ends the workers of an earlier run and moves everything of it into a folder of its own inside, whose name
/// it returns. Nothing is deleted.
[[nodiscard]] Result<std::string> put_aside(const journal::RunFolder& folder);

}  // namespace noonfall::start
