// What lies in the stamps of a series: intervals, lags, and the middle of many.
#pragma once

#include <functional>
#include <vector>

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

}  // namespace noonfall::measure
