#include "lib/body/model.h"

#include <algorithm>
#include <cmath>

namespace noonfall::body {
namespace {

using exposure::Exposure;

constexpr double rounding_mb = 1e-6;  // far below a frame; keeps "just fits" from turning on the last bit

Duration between(const IntervalPoint& a, const IntervalPoint& b, Duration exposure) {
  const double share = in_seconds(exposure - a.exposure) / in_seconds(b.exposure - a.exposure);
  return a.interval + from_seconds(share * in_seconds(b.interval - a.interval));
}

Duration interval_at(std::span<const IntervalPoint> points, Duration exposure) {
  if (exposure <= points.front().exposure) return points.front().interval;
  if (exposure >= points.back().exposure) {
    return points.back().interval + (exposure - points.back().exposure);
  }
  const auto after = std::find_if(points.begin(), points.end(),
                                  [&](const IntervalPoint& point) { return point.exposure > exposure; });
  return between(*(after - 1), *after, exposure);
}

/// Where one stands in sets taken in turn.
struct Walk {
  std::span<const std::vector<Exposure>> turn;
  std::size_t set = 0;
  std::size_t frame = 0;

  [[nodiscard]] const Exposure& exposure() const { return turn[set][frame]; }
  /// True when a set was completed by the step.
  bool advance() {
    if (++frame < turn[set].size()) return false;
    frame = 0;
    set = (set + 1) % turn.size();
    return true;
  }
};

}  // namespace

Megabytes Buffer::used(Utc at) const {
  if (used_.value <= 0 || at <= as_of_) return used_;
  return {std::max(0.0, used_.value - rate_.value * in_seconds(at - as_of_))};
}

void Buffer::add(Utc at, Megabytes frame) {
  used_ = {used(at).value + frame.value};
  as_of_ = std::max(as_of_, at);
}

int Buffer::free_frames(Utc at, Megabytes frame) const {
  const double free = capacity_.value - used(at).value + rounding_mb;
  return std::max(0, static_cast<int>(std::floor(free / frame.value)));
}

Utc Buffer::room_at(Megabytes frame) const {
  const double wanted = std::min(frame.value, capacity_.value);
  const double surplus = used_.value + wanted - capacity_.value;
  if (surplus <= rounding_mb) return as_of_;
  if (rate_.value <= 0) return Utc::max();
  return as_of_ + Duration{static_cast<std::int64_t>(std::ceil(surplus / rate_.value * 1e6))};
}

Duration open_time(exposure::Shutter shutter) {
  return from_seconds(exposure::exact_seconds(shutter));
}

Duration setting_time(const Profile& profile, const Exposure* before, const Exposure& after) {
  const auto& times = profile.setting_times;
  Duration total{};
  if (before == nullptr || before->shutter != after.shutter) total += times.shutter;
  if (after.aperture && (before == nullptr || before->aperture != after.aperture)) total += times.aperture;
  if (before == nullptr || before->iso != after.iso) total += times.iso;
  return total;
}

Duration drive_change_time(const Profile& profile, Drive before, Drive after) {
  return before == after ? Duration{} : profile.setting_times.drive;
}

Duration frame_interval(const Profile& profile, Drive drive, exposure::Shutter shutter) {
  const bool burst = drive != Drive::single && !profile.continuous.empty();
  const auto exposure = open_time(shutter);
  return std::max(exposure, interval_at(burst ? profile.continuous : profile.single, exposure));
}

Duration least_release_lag(const Profile& profile) {
  return std::max(Duration{}, profile.release.typical - profile.release.jitter);
}

Duration most_release_lag(const Profile& profile) {
  return profile.release.typical + profile.release.jitter;
}

LagBounds trusted_lag(const ReleaseLag& claimed) {
  return {std::max((claimed.typical - claimed.jitter) * 7 / 10, Duration{}),
          (claimed.typical + claimed.jitter) * 13 / 10};
}

Megabytes frame_size(const Profile& profile, Files files) {
  switch (files) {
    case Files::raw:
      return profile.files.raw;
    case Files::jpeg:
      return profile.files.jpeg;
    case Files::raw_and_jpeg:
      break;
  }
  return {profile.files.raw.value + profile.files.jpeg.value};
}

Duration opening_to_opening(const Profile& profile, Drive drive, const Exposure& taken,
                            const Exposure& next) {
  const auto interval = frame_interval(profile, drive, taken.shutter);
  if (drive == Drive::continuous && !profile.continuous.empty() && taken == next) return interval;
  return std::max(interval, open_time(taken.shutter) + profile.readout + setting_time(profile, &taken, next) +
                                profile.release.typical);
}

namespace {

/// From one frame of a set to the next; after the last one to the set that `next` opens. In a bracket of the
/// body's own nothing is set between its frames.
Duration frame_to_frame(const Profile& profile, Drive drive, std::span<const Exposure> set, std::size_t frame,
                        const Exposure& next) {
  if (drive != Drive::bracket) return opening_to_opening(profile, drive, set[frame], next);
  const auto interval = frame_interval(profile, drive, set[frame].shutter);
  if (frame + 1 < set.size()) return interval;
  return std::max(interval, open_time(set[frame].shutter) + profile.readout +
                                setting_time(profile, &set.front(), next) + profile.release.typical);
}

/// As fit_sets(), of sets that are taken whole.
Fit fit_brackets(const Profile& profile, Megabytes size, std::span<const std::vector<Exposure>> turn,
                 Utc from, Utc until, Buffer buffer, int leave_free) {
  Fit fit;
  const auto begin = from;
  for (std::size_t n = 0;; n = (n + 1) % turn.size()) {
    const auto& set = turn[n];
    const auto predicted = predict_set(profile, Drive::bracket, set, &turn[(n + 1) % turn.size()].front());
    const auto frames = static_cast<int>(set.size());
    if (!buffer.room_for(frames, size, from)) from = std::max(from, buffer.room_at({size.value * frames}));
    if (from > until || from + predicted.lasts > until) return fit;
    for (const auto offset : predicted.offsets) buffer.add(from + offset, size);
    if (!buffer.room_for(leave_free, size, until)) return fit;
    ++fit.sets;
    fit.frames += frames;
    fit.last_open = from + predicted.offsets.back() - begin;
    from += predicted.cycle;
  }
}

}  // namespace

PredictedSet predict_set(const Profile& profile, Drive drive, std::span<const Exposure> exposures,
                         const Exposure* following) {
  PredictedSet set;
  Duration opening{};
  for (std::size_t i = 0; i < exposures.size(); ++i) {
    const bool last = i + 1 == exposures.size();
    const Exposure& same_again = exposures.front();
    const Exposure& next = !last ? exposures[i + 1] : following != nullptr ? *following : same_again;
    set.offsets.push_back(opening);
    set.lasts = opening + open_time(exposures[i].shutter);
    opening += frame_to_frame(profile, drive, exposures, i, next);
  }
  set.cycle = opening;
  return set;
}

Fit fit_sets(const Profile& profile, Drive drive, Files files, std::span<const std::vector<Exposure>> turn,
             Utc from, Utc until, Buffer buffer, int leave_free) {
  const auto size = frame_size(profile, files);
  if (drive == Drive::bracket) return fit_brackets(profile, size, turn, from, until, buffer, leave_free);
  Fit fit;
  Walk walk{turn};
  for (Utc opening = from;;) {
    if (!buffer.room_for(1, size, opening)) opening = std::max(opening, buffer.room_at(size));
    if (opening > until || opening + open_time(walk.exposure().shutter) > until) return fit;
    const Exposure& taken = walk.exposure();
    buffer.add(opening + open_time(taken.shutter), size);
    if (!buffer.room_for(leave_free, size, until)) return fit;
    ++fit.frames;
    fit.last_open = opening - from;
    if (walk.advance()) ++fit.sets;
    opening += opening_to_opening(profile, drive, taken, walk.exposure());
  }
}

}  // namespace noonfall::body
