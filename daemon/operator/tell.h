// The other end of the command socket: `noonfalld --tell WORDS`.
#pragma once

#include <functional>
#include <iosfwd>
#include <string>
#include <vector>

#include "daemon/journal/state_root.h"
#include "daemon/operator/answer.h"
#include "lib/base/result.h"
#include "lib/time/utc.h"

namespace noonfall::control {

/// Gives `words` to the daemon that runs in `folder` and waits for its answer, at most `patience` in all.
/// Errors ("tell", of the environment): nobody runs there, or nobody answers.
[[nodiscard]] Result<Answer> tell(const std::string& folder, const std::string& words,
                                  Duration patience = std::chrono::seconds{5});

/// The folders of the runs that are going on.
using LiveRuns = std::function<std::vector<std::string>()>;

/// The whole of --tell. `folder` empty: the one run that is going on; none or several are an error. The
/// answer goes to `out`, a refusal or error to `err`. 0 carried out, 1 refused, 3 nobody to tell.
[[nodiscard]] int tell_and_print(std::string folder, const std::string& words, std::ostream& out,
                                 std::ostream& err, const LiveRuns& live_runs = journal::live_runs);

}  // namespace noonfall::control
