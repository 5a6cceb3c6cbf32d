// The properties that ISO 15740 itself defines, for the families that use them.
#pragma once

#include "sim/wire/dialect.h"

namespace noonfall::wire {

/// Battery, quality, aperture, focus, exposure time, program, ISO, clock, drive. The exposure time can't be
/// set while the mode isn't manual.
void add_standard_properties(PropertySheet& sheet, TetheredCamera& camera, Panel& panel,
                             const Traits& traits);
/// The shutter time as the mode leaves it.
[[nodiscard]] Property as_the_mode_allows(Property shutter, const Panel& panel, const Traits& traits);

/// Bursts only where the profile has them.
[[nodiscard]] const std::vector<body::Drive>& drives_of(const body::Profile& profile);

/// "20270802T085112" on the body's own clock.
[[nodiscard]] std::string date_text(Utc instant);

[[nodiscard]] int battery_shown(const TetheredCamera& camera, const Panel& panel);

}  // namespace noonfall::wire
