#include "daemon/start/refusals.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/time/utc_text.h"

namespace noonfall::start {
namespace {

/// When the last of it is over; empty for a plan without anything.
std::optional<Utc> end_of(const timeline::Timeline& timeline) {
  std::optional<Utc> end;
  const auto count = [&](Utc instant) { end = std::max(end.value_or(instant), instant); };
  for (const auto& cue : timeline.cues) count(cue.ends);
  for (const auto& lane : timeline.lanes) {
    if (lane.window) count(lane.window->closes);
    for (const auto& step : lane.steps) count(step.until);
  }
  return end;
}

}  // namespace

std::optional<Diagnostic> nothing_to_come(const timeline::Timeline& timeline, Utc now) {
  const auto end = end_of(timeline);
  if (!end || *end > now) return std::nullopt;
  return error_at({}, "all-past",
                  fmt::format("nothing of this plan is still to come: it ended {} UTC, and this computer's "
                              "clock says {} UTC",
                              to_minutes(*end), to_minutes(now)),
                  "a clock that is right; or, to rehearse, --move C2=+5min");
}

BodyRefusal undrivable_bodies(const plan::Plan& plan) {
  BodyRefusal refusal;
  for (const auto& rig : plan.rigs) {
    if (std::holds_alternative<plan::ByHand>(rig.body)) continue;
    if (std::holds_alternative<plan::SimulatedBody>(rig.body)) {
      refusal.exit = cli::Exit::work_has_errors;
      refusal.why.push_back(error_at(rig.body_mark, "simulated-body",
                                     fmt::format("the body of {} is a simulated one", rig.name),
                                     "--simulate, or a body with its serial number in the plan"));
    } else {
      refusal.why.push_back(error_at(rig.body_mark, "no-driver",
                                     fmt::format("this noonfalld can't drive the camera of {} yet", rig.name),
                                     "--simulate, or `body: by hand`"));
    }
  }
  return refusal;
}

}  // namespace noonfall::start
