// What noonfall promises, held against what really happened: written from docs/safety.md and
// docs/shot-log-format.md alone.
#pragma once

#include <string>
#include <vector>

#include "tests/stories/record.h"

namespace noonfall::stories {

/// Each promise that was broken, in words; empty when all were kept.
[[nodiscard]] std::vector<std::string> broken_promises(const Record& record);

}  // namespace noonfall::stories
