// What lies in the stamps of a series: intervals, lags, and the middle of many.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "lib/base/units.h"
#include "lib/measure/series.h"

namespace noonfall::measure {

/// The value that `share` (0 to 1) of them don't exceed, the nearest of those measured; zero for none.
[[nodiscard]] Duration percentile(std::vector<Duration> spans, double share);
[[nodiscard]] Duration median(std::vector<Duration> spans);

/// The time each settings call of this part took.
[[nodiscard]] std::vector<Duration> change_times(const std::vector<Heard>& heard, Part part);

/// From opening to opening of the frames of one release.
[[nodiscard]] std::vector<Duration> intervals(const rig::DeviceAnswer& answer);

/// Of each followed frame: from its release until the body was free for the change that followed, the
/// exposure taken off. That is the release lag and the readout together.
[[nodiscard]] std::vector<Duration> occupied_times(const std::vector<Heard>& heard);

/// Calls `found(heard)` for each release that took a frame in single drive.
void each_single(const std::vector<Heard>& heard, const std::function<void(const Heard&)>& found);

/// Enough frames had to wait to tell how fast the card is.
[[nodiscard]] bool is_full(const std::vector<Heard>& heard);

struct Filling {
  Megabytes buffer;      // at least, when it never filled
  Megabytes write_rate;  // per second; likewise
  bool filled = false;
  int frames = 0;  // taken before the first that waited
  bool operator==(const Filling&) const = default;
};

/// Nothing without frames of Part::fill.
[[nodiscard]] std::optional<Filling> filling(const std::vector<Heard>& heard, Megabytes frame);

/// From one long burst of which only its end and the announcements of its pictures are known: those come at
/// the card's pace, and what was taken faster was in the buffer. `interval` is that of a burst with room.
[[nodiscard]] std::optional<Filling> filling_of_long_burst(const Heard& burst, Megabytes frame,
                                                           Duration interval, Duration occupied);

}  // namespace noonfall::measure
