#include "lib/report/never_asked.h"

#include <algorithm>

namespace noonfall::report {
namespace {

constexpr int doubt_in_frames = 10;  // one frame in so many: what fits back to back is a prediction

}  // namespace

void add_never_asked(StepSummary& step, Utc until, const std::vector<shotlog::Away>& away) {
  const auto& plan = step.planned;
  if (!plan.back_to_back || until < plan.until) return;
  const auto shortfall = plan.frames - step.frames.asked();
  if (shortfall < std::max(plan.frames_per_set, 1)) return;
  const auto cause = std::find_if(away.begin(), away.end(), [&](const shotlog::Away& each) {
    return each.from < plan.until && each.until > plan.from;
  });
  const bool within_doubt = shortfall * doubt_in_frames <= plan.frames;
  if (cause == away.end() && !step.left_out && within_doubt) return;
  step.never_asked = shortfall;
  if (step.left_out) return;  // and says why
  step.reasons[cause == away.end() ? "its time ran out" : cause->why] += shortfall;
}

}  // namespace noonfall::report
