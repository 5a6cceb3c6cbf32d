// What became of each frame of a log, and the filter window it was ordered under.
#pragma once

#include <cstdint>
#include <limits>
#include <map>
#include <optional>
#include <string>

#include "lib/order/order.h"
#include "lib/shotlog/line.h"
#include "lib/time/utc.h"

namespace noonfall::report {

/// The last word on a frame, in the order of the log.
struct Frame {
  std::optional<order::Outcome> result;  // none: an intent without an outcome
  Utc due;
  std::optional<Utc> opened;
  Duration exposure{};
  std::string why;
  bool over = false;                             // the step had come to its end: nothing was missed
  std::optional<shotlog::PlannedWindow> window;  // of an unfiltered frame: in force when it was ordered
};

using Frames = std::map<shotlog::FrameName, Frame>;

/// Takes in what the entry says of a frame; `in_force` is the plan it was ordered by.
void collect(Frames& frames, const shotlog::Header& in_force, const shotlog::Entry& entry);

/// The frames of one step, in order. (clang-tidy 14 can't read libstdc++'s std::ranges::subrange.)
class FramesOfStep {
 public:
  FramesOfStep(const Frames& frames, const std::string& rig, const std::string& step)
      : begin_{frames.lower_bound({rig, step, 0, 0})},
        end_{frames.upper_bound({rig, step, beyond, beyond})} {}
  [[nodiscard]] Frames::const_iterator begin() const { return begin_; }
  [[nodiscard]] Frames::const_iterator end() const { return end_; }

 private:
  static constexpr auto beyond = std::numeric_limits<std::int32_t>::max();
  Frames::const_iterator begin_;
  Frames::const_iterator end_;
};

}  // namespace noonfall::report
