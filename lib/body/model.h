// What a body holds before the card has it: filled by frames, emptied at the write rate.
#pragma once

#include <span>
#include <vector>

#include "lib/base/units.h"
#include "lib/body/profile.h"
#include "lib/exposure/exposure.h"
#include "lib/time/utc.h"

namespace noonfall::body {

/// A value: copy it to ask "what if". Instants may only move forward; an earlier one counts as the latest so
/// far.
class Buffer {
 public:
  /// Empty at the start.
  explicit Buffer(const Profile& profile) : capacity_(profile.buffer), rate_(profile.write_rate) {}

  /// A frame of this size arrives. The caller has asked for room; without it the buffer stands over its size.
  void add(Utc at, Megabytes frame);

  [[nodiscard]] Megabytes used(Utc at) const;
  /// Whole frames that still fit at an instant.
  [[nodiscard]] int free_frames(Utc at, Megabytes frame) const;
  [[nodiscard]] bool room_for(int frames, Megabytes frame, Utc at) const {
    return free_frames(at, frame) >= frames;
  }
  /// The earliest instant, not before the last frame came, with room for one more. A frame larger than the
  /// whole buffer has room when it is empty; Utc::max() when nothing drains.
  [[nodiscard]] Utc room_at(Megabytes frame) const;

  bool operator==(const Buffer&) const = default;

 private:
  Megabytes capacity_;
  Megabytes rate_;  // per second
  Megabytes used_{};
  Utc as_of_{Utc::min()};
};

/// The time the shutter is open: the exact value behind the name (1/60 is 1/64 s).
[[nodiscard]] Duration open_time(exposure::Shutter shutter);

/// To bring the body from one exposure to another: the sum over the properties that differ. Without `before`
/// all of them are set. An aperture the body can't set takes no time.
[[nodiscard]] Duration setting_time(const Profile& profile, const exposure::Exposure* before,
                                    const exposure::Exposure& after);
[[nodiscard]] Duration drive_change_time(const Profile& profile, Drive before, Drive after);

/// From one shutter opening to the next at unchanged settings; never less than the exposure. A body without
/// continuous drive takes its single intervals for it.
[[nodiscard]] Duration frame_interval(const Profile& profile, Drive drive, exposure::Shutter shutter);

[[nodiscard]] Duration least_release_lag(const Profile& profile);  // never below zero
[[nodiscard]] Duration most_release_lag(const Profile& profile);

/// Within what a release's lag is counted on while the body itself hasn't been heard: the profile to within
/// 30 %.
struct LagBounds {
  Duration least{};
  Duration most{};
};
[[nodiscard]] LagBounds trusted_lag(const ReleaseLag& claimed);

/// What one frame takes of the buffer and the card.
[[nodiscard]] Megabytes frame_size(const Profile& profile, Files files);

/// From the opening of one exposure to the earliest opening of the next, which has settings of its own.
/// Single drive: the longer of the frame interval and exposure + readout + settings + typical release lag.
/// Continuous drive goes on at its interval while nothing changes; a change ends the burst and costs as
/// above.
[[nodiscard]] Duration opening_to_opening(const Profile& profile, Drive drive,
                                          const exposure::Exposure& taken, const exposure::Exposure& next);

/// One set: each opening after the first one's, first opening to last closing, first opening to the earliest
/// opening of the set that follows.
struct PredictedSet {
  std::vector<Duration> offsets;
  Duration lasts{};
  Duration cycle{};
  bool operator==(const PredictedSet&) const = default;
};

/// `exposures` in shooting order, at least one. `following` opens the next set; without it the same set comes
/// again.
[[nodiscard]] PredictedSet predict_set(const Profile& profile, Drive drive,
                                       std::span<const exposure::Exposure> exposures,
                                       const exposure::Exposure* following = nullptr);

/// What fits into a span of time, the buffer's filling counted.
struct Fit {
  int sets = 0;          // complete ones
  int frames = 0;        // all frames closed by the span's end, those of an unfinished last set included
  Duration last_open{};  // from the span's start to the last frame's opening
  bool operator==(const Fit&) const = default;
};

/// Sets taken back to back, `turn` in turn, from `from` until `until` (every shutter closed by then). A frame
/// waits for room in the buffer, and is left out when fewer than `leave_free` frames would be free at
/// `until`. `buffer` is as full as the body is at `from`.
[[nodiscard]] Fit fit_sets(const Profile& profile, Drive drive, Files files,
                           std::span<const std::vector<exposure::Exposure>> turn, Utc from, Utc until,
                           Buffer buffer, int leave_free = 0);

}  // namespace noonfall::body
