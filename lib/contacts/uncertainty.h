// How far off a computed contact may be, and why, in words a photographer understands.
#pragma once

#include <vector>

#include "lib/contacts/settings.h"
#include "lib/contacts/solve.h"

namespace noonfall::contacts {

/// The 95 % half-widths of one contact, the Sun standing at `sun_altitude` then (no refraction); none of it
/// covers blunders in the inputs.
[[nodiscard]] std::vector<UncertaintyPart> uncertainty_parts(const Shadow& shadow, const Site& site,
                                                             const ContactHours& hours, ContactName name,
                                                             Degrees sun_altitude, const Settings& settings);

/// Root of the sum of squares.
[[nodiscard]] Duration total(const std::vector<UncertaintyPart>& parts);

}  // namespace noonfall::contacts
