#include "daemon/clock/recent_offsets.h"

#include <algorithm>
#include <vector>

namespace noonfall::clock {

void RecentOffsets::add(BootTime at, Duration offset) {
  constexpr std::chrono::minutes oldest{1};
  entries_.push_back({at, offset});
  while (entries_.size() > most || at - entries_.front().at > oldest) entries_.pop_front();
}

void RecentOffsets::shift(Duration by) {
  for (auto& entry : entries_) entry.offset += by;
}

std::optional<OffsetSummary> RecentOffsets::summary(BootTime now) const {
  if (entries_.size() < fewest || now - entries_.back().at > longest_silence) return std::nullopt;
  std::vector<Duration> offsets;
  for (const auto& entry : entries_) offsets.push_back(entry.offset);
  std::sort(offsets.begin(), offsets.end());
  const auto strays = offsets.size() / 10;
  return OffsetSummary{.at = entries_.back().at,
                       .median = offsets[offsets.size() / 2],
                       .spread = offsets[offsets.size() - 1 - strays] - offsets[strays]};
}

}  // namespace noonfall::clock
