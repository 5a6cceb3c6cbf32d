// The words that go with an exposure table: a note a row, and the cautions below it.
#pragma once

#include <string>
#include <vector>

#include "daemon/cli/exposures_output.h"

namespace noonfall::cli {

/// Where the row's brightness comes from unless printed in the table, how far the shutter is off, and by how
/// many pixels the image trails on a fixed mount. Empty when there is nothing to say.
[[nodiscard]] std::string note_on(const exposure::GuideRow& row, const ExposuresQuestion& question);

[[nodiscard]] std::vector<std::string> cautions();

}  // namespace noonfall::cli
