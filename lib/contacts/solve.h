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

}  // namespace noonfall::contacts
