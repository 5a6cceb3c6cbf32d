// Quantities whose unit is part of the type. Doubles meet a unit where they enter, and shed it only in
// formulas.
#pragma once

#include <compare>

namespace noonfall {

#define NOONFALL_UNIT(Name)                                  \
  struct Name {                                              \
    double value = 0;                                        \
    friend constexpr auto operator<=>(Name, Name) = default; \
  }

NOONFALL_UNIT(Degrees);
NOONFALL_UNIT(Arcseconds);
NOONFALL_UNIT(Metres);
NOONFALL_UNIT(Millimetres);
NOONFALL_UNIT(Micrometres);
NOONFALL_UNIT(Seconds);  // for physics and formulas; instants and spans of the schedule are time.h's Duration
NOONFALL_UNIT(Stops);    // factors of two of light
NOONFALL_UNIT(Megabytes);

#undef NOONFALL_UNIT

inline constexpr double pi = 3.14159265358979323846;
constexpr double radians(Degrees angle) {
  return angle.value * pi / 180;
}
constexpr Degrees degrees(double angle_rad) {
  return {angle_rad * 180 / pi};
}

}  // namespace noonfall
