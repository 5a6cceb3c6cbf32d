#include "daemon/status/recent_events.h"

#include <algorithm>
#include <utility>

namespace noonfall::status {

void RecentEvents::take(Event event) {
  const auto before =
      std::ranges::find_if(events_, [&](const Counted& counted) { return alike(counted.last, event); });
  int times = 1;
  if (before != events_.end()) {
    times += before->times;
    events_.erase(before);
  } else if (!event.new_kind) {
    return;  // it was told of, and has left the screen since
  }
  events_.push_back({std::move(event), times});
}

std::vector<std::string> RecentEvents::take_beyond(std::size_t most) {
  std::vector<std::string> lines;
  while (events_.size() > most) {
    lines.push_back(to_text(events_.front().last, events_.front().times));
    events_.erase(events_.begin());
  }
  return lines;
}

std::vector<std::string> RecentEvents::lines() const {
  std::vector<std::string> lines;
  for (const auto& [last, times] : events_) lines.push_back(to_text(last, times));
  return lines;
}

}  // namespace noonfall::status
