// Tells a story: the day's core and rigs with simulated bodies, by a plan's clock that the story may set.
#pragma once

#include "tests/stories/record.h"
#include "tests/stories/story.h"

namespace noonfall::stories {

/// `story` must outlive the record.
[[nodiscard]] Record tell(const Story& story);

}  // namespace noonfall::stories
