// Which reading of a camera's clock belongs to which opening, once the clock's error is known.
#pragma once

#include <cmath>
#include <cstddef>
#include <functional>
#include <limits>
#include <span>
#include <vector>

#include "lib/collate/photo.h"

namespace noonfall::collate {

/// How much light an exposure lets through, part by part, in stops; a part that isn't known is no number.
struct Light {
  static constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
  double time = unknown;
  double aperture = unknown;
  double speed = unknown;

  /// The same in every part that both know, but for the rounding of names.
  [[nodiscard]] bool fits(const Light& other) const;
};
[[nodiscard]] Light light_of(const Photo& photo);
[[nodiscard]] Light light_of(const exposure::Exposure& exposure);

/// A photograph and a shot, as far as the pairing goes by them; seconds from an instant common to all.
struct Reading {
  std::size_t photo = 0;
  double clock = 0;  // the middle of the clock's last digit
  double grain = 1;
  Light light;
};
struct Opening {
  std::size_t shot = 0;
  double opened = 0;
  Light light;
};

/// clock = opened + ahead + rate * (opened - from).
struct ClockError {
  double from = 0;
  double ahead = 0;
  double rate = 0;   // seconds a second
  double slack = 1;  // how far a reading may lie from its opening, beyond half its grain

  /// Beyond what its grain explains; above 0 it counts against a pair, above `slack` there is none.
  [[nodiscard]] static double beyond(const Reading& reading, double off) {
    return std::max(0.0, std::abs(off) - reading.grain / 2);
  }
  [[nodiscard]] double opened_at(double clock) const { return from + (clock - ahead - from) / (1 + rate); }
};

/// By their indices in the two lists.
struct Pair {
  std::size_t reading = 0;
  std::size_t opening = 0;
  double off = 0;  // seconds that the reading is after the opening
};

/// What else speaks for a pair, from 0 to 1: its photo and its shot are asked about.
using Bonus = std::function<double(std::size_t photo, std::size_t shot)>;

/// Both lists are by time. The most pairs that are in the order of both, the nearer the better; then what is
/// left within reach of each other: readings of one second may stand in any order. Light always fits.
[[nodiscard]] std::vector<Pair> pair_up(std::span<const Reading> readings, std::span<const Opening> openings,
                                        const ClockError& clock, const Bonus& bonus = {});

}  // namespace noonfall::collate
