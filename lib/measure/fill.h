// What the buffer holds and how fast the card takes it, from the frames that had to wait for room.
#pragma once

#include <optional>
#include <vector>

#include "lib/base/units.h"
#include "lib/measure/series.h"

namespace noonfall::measure {

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
