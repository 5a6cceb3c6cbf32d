// How far off a computed contact may be, and why, in words a photographer understands.
#pragma once

#include <vector>

#include "lib/contacts/gap.h"
#include "lib/contacts/settings.h"

namespace noonfall::contacts {

/// The 95 % half-widths of one contact; `refraction_h` is its refraction_shift_h(). None of it covers
/// blunders in the inputs.
[[nodiscard]] std::vector<UncertaintyPart> uncertainty_parts(const Shadow& shadow, const Site& site,
                                                             const ContactHours& hours, ContactName name,
                                                             double refraction_h, const Settings& settings);

/// 95 % half-width of the gap between the limbs, for a contact of that kind: what moves the limits of the
/// path.
[[nodiscard]] Arcseconds gap_error(const Gap& gap, Kind kind, const Settings& settings);

/// Root of the sum of squares.
[[nodiscard]] Duration total(const std::vector<UncertaintyPart>& parts);

}  // namespace noonfall::contacts
