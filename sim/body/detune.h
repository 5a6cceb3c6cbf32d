// The profile of a body that is slower or faster than its measured profile says.
#pragma once

#include "lib/body/profile.h"

namespace noonfall::sim {

/// `profile` with every time of the body's own multiplied by `factor` (> 0): lags, setting times, readout,
/// the part of a frame interval that isn't exposure, and the time a megabyte takes to the card.
[[nodiscard]] body::Profile detuned(body::Profile profile, double factor);

/// `span` times `factor`, to the nearest microsecond.
[[nodiscard]] Duration scaled(Duration span, double factor);

}  // namespace noonfall::sim
