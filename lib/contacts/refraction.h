// What bent light does to contact times: near the horizon an observer meets the shadow like one standing
// higher.
#pragma once

#include "lib/contacts/solve.h"

namespace noonfall::contacts {

/// In layers about the Earth's centre n · r · sin z stays the same along a ray (Bouguer). The straight ray
/// that became the one seen at apparent zenith distance z' passes over the observer, higher by r (n sin z' /
/// sin z − 1). 1.6 km at the horizon, 0.3 km at 5 degrees; nothing from 15 degrees on, where it is below 50
/// m, or where the Sun is down. `altitude` is the Sun's centre's, without refraction.
[[nodiscard]] Metres raised_by_refraction(Degrees altitude);

/// Hours of TT by which a contact that happens moves when the bend of light is taken in; 0 where that would
/// take the contact away.
[[nodiscard]] double refraction_shift_h(const Shadow& shadow, const Site& site, const ContactHours& hours,
                                        ContactName name);

}  // namespace noonfall::contacts
