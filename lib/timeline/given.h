// What every rule of the timeline looks at, and how a rule says that a step can't be.
#pragma once

#include <cstddef>
#include <vector>

#include "lib/base/diagnostic.h"
#include "lib/contacts/contact.h"
#include "lib/plan/plan.h"
#include "lib/time/utc.h"

namespace noonfall::timeline {

/// What isn't known exactly on the day and must be allowed for.
struct Assumptions {
  Duration clock_bound = std::chrono::milliseconds{100};  // 95 % bound of the clock's error
  Duration beads_before_c2{};  // from where on the last five beads go out; zero where the edge isn't known
  Duration beads_after_c3{};   // until when the first five light up
  bool operator==(const Assumptions&) const = default;
};

/// Before the day whatever can't be shot as written is an error. On the day the sky has the last word: what
/// it leaves no room for is left out, with the reason as a warning and in `Timeline::skipped`; a filter
/// window that isn't certain stays closed, and the rest is shot.
enum class Strictness { plan_check, on_the_day };

/// `plan` has its mirrors resolved: every step shoots or asks for hands.
struct Given {
  const plan::Plan& plan;
  const contacts::Circumstances& sky;
  Assumptions assumptions;
  Strictness strictness = Strictness::plan_check;
};

/// One step that can't be taken as planned. Before the day that is an error; on the day the step is left out.
struct Objection {
  std::size_t rig = 0;
  std::size_t step = 0;  // index in the rig's steps
  Diagnostic why;
};
using Objections = std::vector<Objection>;

}  // namespace noonfall::timeline
