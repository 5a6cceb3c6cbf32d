// Faults as a person writes them for a rehearsal: YAML in, faults at absolute instants out. See
// docs/fault-script.md.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "lib/base/result.h"
#include "lib/contacts/contact.h"
#include "lib/plan/plan.h"
#include "sim/body/fault.h"

namespace noonfall::sim {

/// In force for this long, or until it has struck this often.
using Extent = std::variant<Duration, int>;

/// One entry of a script, nothing resolved.
struct ScriptedFault {
  std::string rig;
  Mark rig_mark;
  plan::Instant from;
  Extent extent;
  Effect effect;
  bool operator==(const ScriptedFault&) const = default;
};

/// Every error of the text, each with its place (for attach_source) and what is wanted.
[[nodiscard]] Result<std::vector<ScriptedFault>> parse_fault_script(std::string_view text);

/// The faults of each rig, in the order of `rigs`. Errors: a rig that isn't among them, a contact that
/// doesn't happen under this `sky`.
[[nodiscard]] Result<std::vector<std::vector<Fault>>> resolve_faults(std::span<const ScriptedFault> script,
                                                                     const contacts::Circumstances& sky,
                                                                     std::span<const std::string> rigs);

/// Both in one; errors have their place in `text`.
[[nodiscard]] Result<std::vector<std::vector<Fault>>> read_faults(std::string_view text,
                                                                  const contacts::Circumstances& sky,
                                                                  std::span<const std::string> rigs);

}  // namespace noonfall::sim
