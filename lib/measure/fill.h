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

}  // namespace noonfall::measure
