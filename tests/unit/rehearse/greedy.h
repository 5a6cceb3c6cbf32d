// The yardstick: a driver that does nothing but shoot sets, as fast as the body lets it.
#pragma once

#include <cstdint>
#include <vector>

#include "lib/timeline/timeline.h"
#include "sim/body/simulated_body.h"

namespace noonfall::sim {

/// How many whole sets of the step's shapes, in turn, a driver gets that starts its first settings at
/// `step.from - step.lead`, opens no shutter before `step.from`, asks again as soon as the body answers, and
/// counts a set when its last shutter closes by `step.until`. Single drive only.
[[nodiscard]] int greedy_sets(const timeline::RigStep& step, SimulatedBody body);

}  // namespace noonfall::sim
