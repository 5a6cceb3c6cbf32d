// When the solar filter of each rig may be off its lens: the bounds no plan can move, and one operator's
// hands.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lib/timeline/given.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// No filter comes off before `opens_earliest` or is back on after `closes_latest`.
struct WindowBounds {
  Utc opens_earliest;  // C2 + U2 - 60 s
  Utc closes_latest;   // C3 - U3 + 60 s
  bool operator==(const WindowBounds&) const = default;
};

/// U2 and U3 are the contacts' 95 % uncertainty plus the clock's bound. Empty where totality isn't certain:
/// the eclipse isn't total at the site, or C3 - C2 <= U2 + U3. There is no override.
[[nodiscard]] std::optional<WindowBounds> window_bounds(const contacts::Circumstances& sky,
                                                        Duration clock_bound);

/// Why a rig that needs a window gets none; its filter stays on.
struct WindowRefusal {
  std::size_t rig = 0;
  Diagnostic why;
};

/// Gives every rig whose rig has a filter and whose steps include unfiltered ones its window, staggered so
/// that a person handles one filter at a time. A filter that no step needs off stays on, with a warning.
[[nodiscard]] std::vector<WindowRefusal> place_filter_windows(const Given& given, Timeline& timeline,
                                                              Diagnostics& findings);

/// A window whose last unfiltered step has been left out closes again: nobody takes a filter off for nothing.
void close_unused_windows(Timeline& timeline);

/// The unfiltered frames that leave their rig's window and the filtered ones that meet it. Steps inside are
/// trimmed: `until` is cut at the window's edge, and, as a second safeguard beside the rig's own, a shutter
/// due at the very edge is moved off it by the body's release jitter.
[[nodiscard]] Objections fit_to_windows(const Given& given, Timeline& timeline);

}  // namespace noonfall::timeline
