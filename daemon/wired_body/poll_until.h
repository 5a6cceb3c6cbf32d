// Waiting for descriptors, and for an instant of the body's time.
#pragma once

#include <optional>
#include <vector>

#include "lib/time/utc.h"

namespace noonfall::wired_body {

/// Those of `descriptors` that have something to read or have ended; none when `wake` came first. Without it
/// there is no limit.
[[nodiscard]] std::vector<int> poll_until(const std::vector<int>& descriptors, Utc now,
                                          std::optional<Utc> wake);

}  // namespace noonfall::wired_body
