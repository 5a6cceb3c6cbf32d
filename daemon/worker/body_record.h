// The pictures a simulated body really took, as lines of a file: its memory over restarts, and the truth that
// logs are compared with.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "sim/body/simulated_body.h"

namespace noonfall::worker {

/// One line with its '\n'.
[[nodiscard]] std::string to_line(const sim::RecordedFrame& frame);

/// Every line that can be read; a torn or damaged one is passed over.
[[nodiscard]] std::vector<sim::RecordedFrame> read_record(std::string_view text);

}  // namespace noonfall::worker
