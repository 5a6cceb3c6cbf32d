// When an observer meets the edges of the shadow: the contacts as hours, and how much is covered.
#pragma once

#include "lib/contacts/shadow.h"

namespace noonfall::contacts {

/// Hours of TT from t0. C1, MID and C4 mean something unless the kind is none, C2 and C3 where it is total or
/// annular; the others are 0.
struct ContactHours {
  Kind kind = Kind::none;
  std::array<double, 5> at{};  // by ContactName
  double deepest = 0;          // where umbra² − distance² is greatest: C2 and C3 lie on its two sides
  double magnitude = 0;
  double obscuration = 0;

  [[nodiscard]] double operator[](ContactName name) const { return at[static_cast<std::size_t>(name)]; }
};

/// How far from t0 elements are good, hours.
inline constexpr double elements_reach_h = 4.5;

/// Geometry alone: a Sun below the horizon counts. MID is greatest coverage of the diameter at partial sites,
/// the middle of C2 and C3 at central ones (as the Five Millennium Canon has them, NASA/TP-2006-214141).
[[nodiscard]] ContactHours solve(const Shadow& shadow, const Observer& observer);

/// Covered part of the Sun's area, for discs of these radii and this distance of centres, any common unit.
[[nodiscard]] double covered_area(double sun_radius, double moon_radius, double separation);

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
