// How long totality or a ring lasts, for people.
#pragma once

#include <string>

#include "lib/time/utc.h"

namespace noonfall::cli {

/// "38.6 s", "4 min 38.6 s".
[[nodiscard]] std::string length_text(Duration span);

}  // namespace noonfall::cli
