// What a body holds before the card has it: filled by frames, emptied at the write rate.
#pragma once

#include "lib/base/units.h"
#include "lib/body/profile.h"
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

}  // namespace noonfall::body
