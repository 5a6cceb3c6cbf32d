// Which order a rig gets next: decided by its plan, how far it has come, what it has in hand and how fast its
// body has been.
#pragma once

#include <optional>
#include <variant>

#include "lib/order/order.h"
#include "lib/run/body_pace.h"
#include "lib/run/order_tracker.h"
#include "lib/run/progress.h"
#include "lib/timeline/timeline.h"

namespace noonfall::run {

struct Issue {
  order::Order order;  // its id is still to be given
  std::size_t shape = 0;
};
/// `why` is for the log; none: it was done before, or there is nothing to say.
struct LeaveSet {
  std::optional<shotlog::SkipReason> why = std::nullopt;
};
struct LeaveStep {
  std::optional<shotlog::SkipReason> why = std::nullopt;
};
struct Wait {
  std::optional<Utc> until = std::nullopt;  // none: for a report
};
using Next = std::variant<Issue, LeaveSet, LeaveStep, Wait>;

struct Situation {
  Utc now;
  std::int32_t rig = 0;
  const Progress& progress;  // before the plan's end
  const OrderTracker& orders;
  const BodyPace& pace;
  bool held = false;      // by the operator
  bool skipped = false;   // the step at hand, likewise
  bool filter_on = true;  // as far as is known
  Utc not_before;         // back to back, after orders that were refused
};

[[nodiscard]] Next next_order(const timeline::RigTimeline& plan, const Situation& at);

}  // namespace noonfall::run
