// The timeline as a person reads it at the tripod.
#pragma once

#include <functional>
#include <string>

#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// Time of day somewhere else than at Greenwich; an empty function for UTC alone.
using LocalClock = std::function<std::string(Utc)>;

/// Contacts, filter windows, then everything by time, and what was left out; aligned, lines ended by '\n'.
/// Sets that repeat are one line.
[[nodiscard]] std::string to_text(const Timeline& timeline, const LocalClock& local = {});

}  // namespace noonfall::timeline
