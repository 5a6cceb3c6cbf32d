// What a body says of its properties when it doesn't tell the truth, in well-formed datasets.
#pragma once

#include <string>

#include "sim/wire/line_fault.h"
#include "sim/wire/ptp_property.h"

namespace noonfall::wire {

/// Clears a terminal and rings its bell.
inline const std::string cursor_codes = "\x1b[2J\a";

/// Only lists of choices and what stands beside them change; what setting the property does doesn't.
void make_false(PropertyDescription& description, FalseWords::About about);

}  // namespace noonfall::wire
