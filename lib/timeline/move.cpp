#include "lib/timeline/move.h"

namespace noonfall::timeline {

Timeline moved(Timeline timeline, Duration by) {
  for (auto& contact : timeline.circumstances.contacts) {
    if (contact) contact->utc += by;
  }
  for (auto& lane : timeline.lanes) {
    if (lane.window) {
      for (auto* edge :
           {&lane.window->opens, &lane.window->usable_from, &lane.window->usable_until, &lane.window->closes})
        *edge += by;
    }
    for (auto& step : lane.steps) {
      step.from += by;
      step.until += by;
      for (auto& target : step.targets) target.due += by;
    }
  }
  for (auto& cue : timeline.cues) cue.ends += by;
  for (auto& span : timeline.hands_on) {
    span.from += by;
    span.until += by;
  }
  return timeline;
}

}  // namespace noonfall::timeline
