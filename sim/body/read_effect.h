// What a fault does, out of the keys of its entry in a fault script.
#pragma once

#include <optional>

#include "lib/yaml/field.h"
#include "sim/body/fault.h"

namespace noonfall::sim {

enum class FaultKind { busy, refused_setting, lost_frame, gone, slow_card };

/// "busy", "refused setting", "lost frame", "gone", "slow card".
[[nodiscard]] std::optional<FaultKind> read_fault_kind(const yaml::Field& field);

/// Whether it comes call by call or frame by frame, so that a count of it means something.
[[nodiscard]] bool countable(FaultKind kind);

/// Asks `map` for the keys of this kind, and no others.
[[nodiscard]] std::optional<Effect> read_effect(FaultKind kind, yaml::MapReader& map);

}  // namespace noonfall::sim
