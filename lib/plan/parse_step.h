// One step of a plan.
#pragma once

#include <optional>

#include "lib/plan/plan.h"
#include "lib/yaml/field.h"
#include "lib/yaml/map_reader.h"

namespace noonfall::plan {

/// A step that shoots, asks for hands, or mirrors another, as its keys tell.
[[nodiscard]] Step read_step(const yaml::Field& field);

/// The keys at, from, until, every and spread of a shooting step: exactly one pace, else errors.
[[nodiscard]] std::optional<Pace> read_pace(yaml::MapReader& map, Diagnostics& findings);

/// Everything of a shooting step but its name, rigs and condition.
[[nodiscard]] Shooting read_shooting(yaml::MapReader& map, Diagnostics& findings);

}  // namespace noonfall::plan
