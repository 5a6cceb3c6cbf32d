// The timeline as a person reads it at the tripod.
#pragma once

#include <string>
#include <string_view>

#include "lib/time/zone.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// "first bite", "totality begins" or "the ring closes", and so on.
[[nodiscard]] std::string_view meaning_of(contacts::ContactName name, contacts::Kind kind);

/// "3 frames 1/2000 to 1/500 f/8 ISO 400".
[[nodiscard]] std::string set_text(const SetShape& shape);

/// What is said of the filter of a rig without a window.
[[nodiscard]] std::string_view no_window_text(const RigTimeline& rig);

/// Contacts, filter windows, then everything by time, and what was left out; aligned, lines ended by '\n'.
/// Sets that repeat are one line.
[[nodiscard]] std::string to_text(const Timeline& timeline, const LocalClock& local = {});

/// Its end: what the gear makes of it. Frames against card and battery, sizes on the sensor, the corona when
/// stacked, and on a fixed mount where to aim and where in the frame the Sun stands.
[[nodiscard]] std::string gear_text(const Timeline& timeline, const LocalClock& local);

}  // namespace noonfall::timeline
