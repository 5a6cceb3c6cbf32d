// The gap between the limbs at a contact: how fast it closes, and what moves it.
#pragma once

#include <vector>

#include "lib/contacts/settings.h"
#include "lib/contacts/solve.h"

namespace noonfall::contacts {

struct Gap {
  double rate = 0;      // arcseconds a second, negative while closing
  double per_east = 0;  // arcseconds for a metre the observer moves
  double per_north = 0;
  double per_up = 0;
  double per_dut1 = 0;      // arcseconds for a second of UT1 − UTC
  double to_deepest_s = 0;  // time between the contact and deepest immersion
};

/// At C1, C2, C3 or C4 of an eclipse that has it.
[[nodiscard]] Gap gap_at(const Shadow& shadow, const Observer& observer, const ContactHours& hours,
                         ContactName name);

/// Speed of the Moon's centre past the Sun's at `t`, arcseconds a second.
[[nodiscard]] double relative_speed(const Shadow& shadow, const Observer& observer, double t);

/// How far a contact may move when the gap is wrong by `error`, either way. Near tangency the gap is a
/// parabola in time: outwards a contact runs off slower than error / rate says, inwards it goes no farther
/// than the foot, where the two contacts meet and vanish.
[[nodiscard]] Seconds shift_by(const Gap& gap, Arcseconds error);

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
