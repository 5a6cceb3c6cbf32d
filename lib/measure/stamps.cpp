#include "lib/measure/stamps.h"

#include <algorithm>
#include <cmath>

namespace noonfall::measure {
namespace {

using namespace std::chrono_literals;

constexpr int enough_waits = 6;
// A frame has waited for room when its interval is so much longer than undisturbed ones.
constexpr double longer = 1.25;
constexpr Duration noise = 5ms;

struct Opening {
  Utc opened;
  Utc closed;
  Duration interval{};  // from the opening before it; zero at the start of a release of several
  bool waited = false;
  bool follows_wait = false;  // so its whole interval is the card's pace
};

/// Frames of releases of one each follow each other as those within a burst do.
std::vector<Opening> openings(const std::vector<Heard>& heard) {
  std::vector<Opening> list;
  for (const auto& one : heard) {
    if (one.part != Part::fill) continue;
    const bool of_many = std::get<rig::ReleaseCall>(one.call).frames.size() > 1;
    for (std::size_t n = 0; n < one.answer.frames.size(); ++n) {
      const auto& frame = one.answer.frames[n];
      const bool has_interval = !list.empty() && (n > 0 || !of_many);
      list.push_back({frame.opened, frame.closed, has_interval ? frame.opened - list.back().opened : 0us});
    }
  }
  return list;
}

/// Marks the waits, measured against the pace at the start.
void mark_waits(std::vector<Opening>& list) {
  std::vector<Duration> first;
  for (const auto& opening : list) {
    if (opening.interval > 0us && first.size() < 8) first.push_back(opening.interval);
  }
  const auto most =
      Duration{static_cast<std::int64_t>(static_cast<double>(median(first).count()) * longer)} + noise;
  for (std::size_t n = 0; n < list.size(); ++n) {
    list[n].waited = list[n].interval > most;
    list[n].follows_wait = list[n].waited && n > 0 && list[n - 1].waited;
  }
}

std::vector<Opening> marked(const std::vector<Heard>& heard) {
  auto list = openings(heard);
  mark_waits(list);
  return list;
}

std::vector<Duration> card_paces(const std::vector<Opening>& list) {
  std::vector<Duration> paces;
  for (const auto& opening : list) {
    if (opening.follows_wait) paces.push_back(opening.interval);
  }
  return paces;
}

double middle(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

/// A frame that waited opened as soon as there was room for it: what was taken so far, less what was written
/// since the first closed, and itself fill the buffer.
double buffer_mb(const std::vector<Opening>& list, double frame_mb, double rate) {
  std::vector<double> sizes;
  for (std::size_t n = 0; n < list.size(); ++n) {
    if (!list[n].waited) continue;
    const double written = rate * in_seconds(list[n].opened - list.front().closed);
    sizes.push_back(static_cast<double>(n + 1) * frame_mb - written);
  }
  return middle(std::move(sizes));
}

/// Nothing waited: the card kept up, or the buffer is larger than all that was taken. What is sure of both is
/// their sum: a cautious card of one frame a second, and a buffer that explains the rest.
Filling never_full(std::size_t taken, Duration lasted, Megabytes frame) {
  Filling found;
  found.frames = static_cast<int>(taken);
  found.write_rate = frame;
  found.buffer = {
      std::max(static_cast<double>(taken) * frame.value - frame.value * in_seconds(lasted), 2 * frame.value)};
  return found;
}

std::vector<Duration> later_half(const std::vector<Utc>& stamps) {
  std::vector<Duration> gaps;
  for (auto n = stamps.size() / 2 + 1; n < stamps.size(); ++n) gaps.push_back(stamps[n] - stamps[n - 1]);
  return gaps;
}

}  // namespace

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

bool is_full(const std::vector<Heard>& heard) {
  return card_paces(marked(heard)).size() >= enough_waits;
}

std::optional<Filling> filling(const std::vector<Heard>& heard, Megabytes frame) {
  const auto list = marked(heard);
  if (list.size() < 2) return std::nullopt;
  Filling found;
  const auto first_wait = std::find_if(list.begin(), list.end(), [](const auto& o) { return o.waited; });
  found.frames = static_cast<int>(first_wait - list.begin());
  const auto paces = card_paces(list);
  found.filled = paces.size() >= enough_waits;
  if (found.filled) {
    found.write_rate = {frame.value / in_seconds(median(paces))};
    found.buffer = {buffer_mb(list, frame.value, found.write_rate.value)};
    return found;
  }
  return never_full(list.size(), list.back().opened - list.front().opened, frame);
}

std::optional<Filling> filling_of_long_burst(const Heard& burst, Megabytes frame, Duration interval,
                                             Duration occupied) {
  const auto count = static_cast<double>(burst.answer.frames.size());
  const auto late = later_half(burst.announced);
  if (count < 2 || late.size() < enough_waits) return std::nullopt;
  const auto& first = burst.answer.frames.front();
  const auto exposure = first.closed - first.opened;
  const auto lasted = burst.answer.at - burst.answer.released - occupied - exposure;  // first to last opening
  const double pace = in_seconds(median(late));
  const double fast = in_seconds(interval);
  // count - 1 intervals: `quick` fast ones until the buffer was full, the others at the card's pace.
  const double quick = ((count - 1) * pace - in_seconds(lasted)) / (pace - fast);
  if (pace <= fast * longer || quick > count - enough_waits)
    return never_full(burst.answer.frames.size(), lasted, frame);
  Filling found;
  found.filled = true;
  found.frames = static_cast<int>(std::lround(quick)) + 1;
  found.write_rate = {frame.value / pace};
  const double written = found.write_rate.value * (quick * fast - in_seconds(exposure));
  found.buffer = {(quick + 1) * frame.value - written};
  return found;
}

}  // namespace noonfall::measure
