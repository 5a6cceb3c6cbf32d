#include "lib/timeline/move.h"

namespace noonfall::timeline {

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
