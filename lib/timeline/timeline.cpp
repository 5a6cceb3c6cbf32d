#include "lib/timeline/timeline.h"

#include <algorithm>
#include <numeric>

namespace noonfall::timeline {
namespace {

int frames_of_set(const RigStep& step, std::size_t shape) {
  return static_cast<int>(step.shapes[shape].exposures.size());
}

void move_framing(RigTimeline& rig, Duration by) {
  if (!rig.framing) return;
  for (auto& aiming : rig.framing->aimings)
    for (auto* at : {&aiming.until, &aiming.centred, &aiming.stays.from, &aiming.stays.until}) *at += by;
}

}  // namespace

int RigStep::predicted_frames() const {
  int frames = 0;
  if (back_to_back) {
    for (int set = 0; set < predicted_sets; ++set)
      frames += frames_of_set(*this, static_cast<std::size_t>(set) % shapes.size());
  }
  for (const auto& target : targets) frames += frames_of_set(*this, target.shape);
  return frames;
}

Utc RigStep::first_opening() const {
  return targets.empty() ? from : targets.front().due;
}

Utc RigStep::last_closing() const {
  if (targets.empty()) return until;
  return std::accumulate(targets.begin(), targets.end(), from, [this](Utc last, const Target& target) {
    return std::max(last, target.due + shapes[target.shape].lasts);
  });
}

int RigTimeline::predicted_frames() const {
  return std::accumulate(steps.begin(), steps.end(), 0,
                         [](int frames, const RigStep& step) { return frames + step.predicted_frames(); });
}

int Timeline::predicted_frames() const {
  return std::accumulate(rigs.begin(), rigs.end(), 0, [](int frames, const RigTimeline& rig) {
    return frames + (rig.by_hand ? 0 : rig.predicted_frames());
  });
}

Timeline moved(Timeline timeline, Duration by) {
  for (auto& contact : timeline.circumstances.contacts) {
    if (contact) contact->utc += by;
  }
  for (auto& rig : timeline.rigs) {
    if (rig.window) {
      for (auto* edge :
           {&rig.window->opens, &rig.window->usable_from, &rig.window->usable_until, &rig.window->closes})
        *edge += by;
    }
    for (auto& step : rig.steps) {
      step.from += by;
      step.until += by;
      for (auto& target : step.targets) target.due += by;
      if (step.passage) step.passage->farthest_at += by;
    }
    move_framing(rig, by);
  }
  for (auto& cue : timeline.cues) cue.ends += by;
  for (auto& span : timeline.hands_on) {
    span.from += by;
    span.until += by;
    if (span.aim) *span.aim += by;
  }
  return timeline;
}

}  // namespace noonfall::timeline
