// Whether a run kept its promises, by its log, its bodies' own memory and what was done to it.
#pragma once

#include <string>
#include <vector>

#include "sim/body/simulated_body.h"
#include "tests/stories/record.h"

namespace noonfall::drill {

struct Verdict {
  std::vector<std::string> broken;  // promises, in words; none is what is wanted
  int intended = 0;
  int fired = 0;
  int unknown = 0;
  int unknown_taken = 0;  // of the unknown ones: the body has the picture
  int taken = 0;
  int unfiltered = 0;  // of these, on a rig with a filter window
  int held_up = 0;     // of these, by bodies that stood still
  int told_off = 0;    // words that let a filter come off
  int called_on = 0;
};

/// Of several runs.
void add(Verdict& sum, Verdict more);

/// A body on a cable, as seen from its side.
struct WatchedBody {
  std::vector<sim::RecordedFrame> taken;
  std::vector<std::pair<Utc, Utc>> stood_still;
};

/// What was seen of a run from outside. Nothing: one core, never stopped, with bodies that left their memory
/// in the run's folder.
struct Watched {
  const timeline::Timeline* timeline = nullptr;  // none: what the log's header says of it
  std::vector<stories::Moment> moments = {};     // Began when a core was started; Ended, Stalled, WentOn
  std::vector<WatchedBody> bodies = {};          // by rig
  std::vector<std::string> logs = {};       // what the log held when; nothing of that may be missing later
  std::vector<std::string> elsewhere = {};  // and what its second place held
  std::string screen = {};                  // all that the cores printed
};

/// `folder` is a run's.
[[nodiscard]] Verdict check_run(const std::string& folder, const Watched& watched);

}  // namespace noonfall::drill
