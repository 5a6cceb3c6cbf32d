#include "lib/measure/stamps.h"

#include <algorithm>
#include <cmath>

namespace noonfall::measure {

Duration percentile(std::vector<Duration> spans, double share) {
  if (spans.empty()) return {};
  std::sort(spans.begin(), spans.end());
  const auto rank = std::ceil(share * static_cast<double>(spans.size())) - 1;
  return spans[static_cast<std::size_t>(std::max(0.0, rank))];
}

Duration median(std::vector<Duration> spans) {
  return percentile(std::move(spans), 0.5);
}

std::vector<Duration> change_times(const std::vector<Heard>& heard, Part part) {
  std::vector<Duration> times;
  for (const auto& one : heard) {
    if (one.part == part) times.push_back(one.answer.at - one.called);
  }
  return times;
}

std::vector<Duration> intervals(const rig::DeviceAnswer& answer) {
  std::vector<Duration> list;
  for (std::size_t n = 1; n < answer.frames.size(); ++n)
    list.push_back(answer.frames[n].opened - answer.frames[n - 1].opened);
  return list;
}

std::vector<Duration> occupied_times(const std::vector<Heard>& heard) {
  const auto change = median(change_times(heard, Part::iso_change));
  std::vector<Duration> spans;
  for (std::size_t n = 1; n < heard.size(); ++n) {
    const auto& frame = heard[n - 1].answer;
    if (heard[n].part != Part::after_frame || frame.frames.empty()) continue;
    const auto exposure = frame.frames.front().closed - frame.frames.front().opened;
    spans.push_back(heard[n].answer.at - change - frame.released - exposure);
  }
  return spans;
}

void each_single(const std::vector<Heard>& heard, const std::function<void(const Heard&)>& found) {
  for (const auto& one : heard) {
    const bool single = one.part == Part::single_frame || one.part == Part::single_pace;
    if (single && !one.answer.frames.empty()) found(one);
  }
}

}  // namespace noonfall::measure
