// The last half minute of clock offsets from one source, as a median and how much they scatter.
#pragma once

#include <deque>
#include <optional>

#include "lib/time/boot_clock.h"
#include "lib/time/utc.h"

namespace noonfall::clock {

struct OffsetSummary {
  BootTime at;        // of the newest
  Duration median{};  // the system clock less the source
  Duration spread{};  // of the middle four fifths, so that one stray pulse spoils nothing
};

class RecentOffsets {
 public:
  static constexpr std::size_t fewest = 15;
  static constexpr std::size_t most = 30;
  static constexpr std::chrono::seconds longest_silence{5};

  void add(BootTime at, Duration offset);
  void clear() { entries_.clear(); }
  /// As if all had been taken with the system clock `by` further on.
  void shift(Duration by);
  /// Empty when there are too few of them, or none of late.
  [[nodiscard]] std::optional<OffsetSummary> summary(BootTime now) const;

 private:
  struct Entry {
    BootTime at;
    Duration offset;
  };
  std::deque<Entry> entries_;
};

}  // namespace noonfall::clock
