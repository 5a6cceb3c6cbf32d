// A whole story as text, for whoever looks into a broken promise.
#pragma once

#include <string>

#include "tests/stories/record.h"
#include "tests/stories/story.h"

namespace noonfall::stories {

[[nodiscard]] std::string trace(const Story& story, const Record& record);

}  // namespace noonfall::stories
