// How long one release takes to first light: luck that belongs to the frame and to nothing before it.
#pragma once

#include <cstdint>

#include "lib/body/profile.h"
#include "lib/order/order.h"

namespace noonfall::sim {

/// A lag in typical ± jitter, never negative, symmetric and densest at `typical`; the same for the same seed
/// and frame whatever was taken before, so that one frame more or less doesn't change a rehearsal's other
/// frames.
[[nodiscard]] Duration lag_of(const body::ReleaseLag& release, std::uint64_t seed, const order::FrameId& id);

}  // namespace noonfall::sim
