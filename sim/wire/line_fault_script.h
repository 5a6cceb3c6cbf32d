// Faults of a line as a person writes them: YAML in, faults out. See docs/wired-bodies.md.
#pragma once

#include <string_view>
#include <vector>

#include "lib/base/result.h"
#include "sim/wire/line_fault.h"

namespace noonfall::wire {

/// `start`: the instant from which `after` counts. Every error of the text, each with its place (for
/// attach_source) and what is wanted.
[[nodiscard]] Result<std::vector<LineFault>> parse_line_faults(std::string_view text, Utc start);

}  // namespace noonfall::wire
