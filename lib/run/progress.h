// How far a rig has come in its plan: which step is at hand and which of its sets are done, by this core or
// an earlier one.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "lib/order/order.h"
#include "lib/run/history.h"
#include "lib/timeline/timeline.h"

namespace noonfall::run {

/// Within 10 ms: what was logged and planned anew is the same set then.
[[nodiscard]] bool same_instant(Utc one, Utc other);

class Progress {
 public:
  /// What an earlier core began of each step of the plan; it starts at the first step.
  void resume(const timeline::RigTimeline& plan, const std::map<std::string, PastStep>& past, Utc now);

  [[nodiscard]] std::size_t step() const { return step_; }
  /// How many sets of the step were issued or passed over.
  [[nodiscard]] std::size_t sets() const { return static_cast<std::size_t>(set_); }
  /// The number of the set at hand; zero when it is done.
  [[nodiscard]] std::int32_t set_number() const;
  /// An earlier core passed the step over as a whole, and said so.
  [[nodiscard]] bool left_before() const;

  void next_set() { ++set_; }
  void next_step() { enter(step_ + 1); }
  /// The plan's number of steps: nothing is left to do.
  void enter(std::size_t step);
  /// The set of a frame that an earlier core asked for without a trace in the log isn't asked for again.
  void take_as_done(const timeline::RigTimeline& plan, const order::FrameId& frame, Utc now);

 private:
  struct Begun {
    std::vector<std::int32_t> numbers;  // of its targets' sets; 0: done, or passed over and said so
    std::int32_t last_set = 0;          // the highest number used
    bool passed_over = false;
  };
  [[nodiscard]] static Begun begun(const timeline::RigStep& step, const PastStep& past, Utc now);
  [[nodiscard]] const Begun* at_hand() const;

  std::size_t step_ = 0;
  std::int32_t set_ = 0;
  std::map<std::size_t, Begun> begun_;  // by step
};

}  // namespace noonfall::run
