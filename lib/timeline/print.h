// The timeline as a person reads it at the tripod.
#pragma once

#include <string>

#include "lib/time/zone.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// Contacts, filter windows, then everything by time, and what was left out; aligned, lines ended by '\n'.
/// Sets that repeat are one line.
[[nodiscard]] std::string to_text(const Timeline& timeline, const LocalClock& local = {});

}  // namespace noonfall::timeline
