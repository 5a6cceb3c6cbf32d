// When a fixed mount has to be aimed anew so that the Sun stays in the frame through totality or a ring.
#pragma once

#include <vector>

#include "lib/draft/phases.h"

namespace noonfall::draft {

inline constexpr Duration half_a_visit = std::chrono::seconds{8};

/// Between the visits, and before the first and after the last one, the rig is aimed for the middle of what
/// it shoots until the next.
struct Visits {
  std::vector<Utc> middles =
      {};           // of each visit, half_a_visit to both sides; none where nothing has to be done
  Duration room{};  // how long before the first frame and after the last one the Sun is in the frame too
};

/// `frames` have the Sun, and those of `inner` half a radius of the corona too; visits lie within `inner`, at
/// equal distances. As few as there may be, and at most six: a lens that needs more is too long for the
/// mount.
[[nodiscard]] Visits visits_for(const Gear& gear, const contacts::Circumstances& sky,
                                contacts::TimeSpan frames, contacts::TimeSpan inner);

}  // namespace noonfall::draft
