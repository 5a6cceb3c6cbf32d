// Whether a run kept its promises, by its log and its bodies' own memory alone.
#pragma once

#include <string>
#include <vector>

namespace noonfall::drill {

struct Verdict {
  std::vector<std::string> broken;  // promises, in words; none is what is wanted
  int intended = 0;
  int fired = 0;
  int unknown = 0;
  int unknown_taken = 0;  // of the unknown ones: the body has the picture
  int taken = 0;
};

/// `folder` is a run's. `snapshots` are what the log held at certain moments: nothing of that may be missing
/// later.
[[nodiscard]] Verdict check_run(const std::string& folder, const std::vector<std::string>& snapshots);

}  // namespace noonfall::drill
