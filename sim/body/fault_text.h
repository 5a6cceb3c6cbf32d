// Faults at absolute instants as the script that says the same, so that another process can be given them.
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "sim/body/fault.h"

namespace noonfall::sim {

/// For faults as resolve_faults makes them: each lasts for a time or strikes so often. Parsed and resolved
/// under any sky, the text gives the same faults. At least one fault.
[[nodiscard]] std::string to_script(std::string_view rig, std::span<const Fault> faults);

}  // namespace noonfall::sim
