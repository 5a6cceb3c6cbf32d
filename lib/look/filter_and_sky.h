// What this filter and this sky do to the Sun's light, from how bright its pictures came out.
#pragma once

#include <cstddef>
#include <optional>
#include <span>

#include "lib/base/units.h"
#include "lib/time/utc.h"

namespace noonfall::look {

/// One picture's measure.
struct LightPoint {
  Utc at;
  double airmass = 0;  // beyond that of a Sun 60 degrees high, where exposures are tried out
  Stops brighter;      // than computed; below zero: darker
};

struct FilterAndSky {
  Stops dark;                         // the filter's: darker than it says, the Sun 60 degrees high
  double magnitudes_per_airmass = 0;  // the sky's
  Stops scatter;                      // of the points about the law, root mean square: thin cloud
  std::size_t points = 0;
  double assumed = 0;  // magnitudes per airmass, of the computed light

  /// Darker than computed in all.
  [[nodiscard]] Stops dark_at(double airmass) const;
};

inline constexpr std::size_t least_points = 4;

/// The line of least squares in the airmass; a point far off it counts less (a passing cloud), and the sky is
/// held near `assumed`, within some 0.2 magnitudes, as long as the airmass has hardly changed. None below
/// `least_points`.
[[nodiscard]] std::optional<FilterAndSky> fit(std::span<const LightPoint> points, double assumed);

}  // namespace noonfall::look
