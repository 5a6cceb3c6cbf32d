#include "lib/timeline/release_room.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/body/model.h"
#include "lib/time/duration_text.h"
#include "lib/timeline/relative_text.h"

namespace noonfall::timeline {
namespace {

/// In whole milliseconds, upwards: enough is enough then.
std::string at_least(Duration span) {
  return noonfall::to_text(Duration{std::chrono::ceil<std::chrono::milliseconds>(span)});
}

std::optional<Diagnostic> too_little_room(const Given& given, const RigTimeline& rig, const RigStep& step) {
  const auto lag = body::trusted_lag(rig.profile.release);
  const auto needed = lag.most - lag.least;
  if (step.back_to_back || step.targets.empty()) return {};
  if (step.patience < needed) {
    return error_at(
        step.mark, "patience-too-short",
        fmt::format("\"{}\": a shutter of {} may open {} after its instant, and its patience is {}",
                    step.name, rig.name, at_least(needed), noonfall::to_text(step.patience)),
        fmt::format("a patience of {} or more", at_least(needed)));
  }
  const auto left = step.until - step.last_closing();
  if (left >= needed) return {};
  return error_at(step.mark, "no-room-for-lag",
                  fmt::format("\"{}\": a shutter of {} may open {} after its instant, and then its last one "
                              "wouldn't be closed by {}",
                              step.name, rig.name, at_least(needed), relative_text(step.until, given.sky)),
                  fmt::format("instants {} or more earlier, or a shorter exposure", at_least(needed - left)));
}

}  // namespace

Objections check_release_room(const Given& given, const Timeline& timeline) {
  Objections objections;
  for (std::size_t l = 0; l < timeline.rigs.size(); ++l) {
    const auto& rig = timeline.rigs[l];
    if (rig.by_hand) continue;
    for (std::size_t s = 0; s < rig.steps.size(); ++s)
      if (auto why = too_little_room(given, rig, rig.steps[s])) objections.push_back({l, s, std::move(*why)});
  }
  return objections;
}

}  // namespace noonfall::timeline
