// Spans as the words about the clock give them: "under 0.1 ms", "3.2 ms", "300 ms", "1.003 s", "59 min 59 s".
#pragma once

#include <string>

#include "lib/time/utc.h"

namespace noonfall::clock {

/// The size of `span`, without its sign.
[[nodiscard]] std::string span_words(Duration span);

/// "1.003 s forward", "1 h back".
[[nodiscard]] std::string shift_words(Duration shift);

}  // namespace noonfall::clock
