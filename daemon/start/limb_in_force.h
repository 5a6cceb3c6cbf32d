// Which edge of the Moon the contacts of an amended run are computed with.
#pragma once

#include "daemon/journal/run_settings.h"
#include "daemon/start/run_request.h"
#include "lib/base/diagnostic.h"

namespace noonfall::start {

/// The one `request` names, else the one the run has; `before` is null for a run yet to begin. An amendment
/// that was asked for comes with its strip or is refused when that is read; a restart that has to compute
/// anew goes on with the mean limb and says so.
[[nodiscard]] load::LimbRequest limb_in_force(const RunRequest& request, const journal::RunSettings& begun,
                                              const shotlog::Header* before, Diagnostics& findings);

/// Of a file that another process, elsewhere, is to find; empty stays empty.
[[nodiscard]] std::string whole_path(const std::string& file);

}  // namespace noonfall::start
