// The spans of time in which something is below zero.
#pragma once

#include <functional>
#include <vector>

#include "lib/limb/sky_view.h"

namespace noonfall::limb {

/// Both in the unit of the function's argument.
struct Spell {
  double from;
  double until;
  bool operator==(const Spell&) const = default;
};

/// What to look through: `step` apart at first; between, a spell or a break is found when the function turns
/// within `near_zero` of zero.
struct Search {
  double from;
  double until;
  double step;
  double near_zero;
};

/// In order. A spell that reaches an end of the search ends there.
[[nodiscard]] std::vector<Spell> spells_below_zero(const std::function<double(double)>& value,
                                                   const Search& search);

/// One observer's eclipse.
struct Scene {
  const contacts::Elements& elements;
  const contacts::Shadow& shadow;
  const contacts::Observer& observer;
  Arcseconds solar_radius;
};

/// Angles are counted around the Moon's centre, every 0.05 degrees: number n lies at position angle
/// n / edge_count of a turn.
inline constexpr std::size_t edge_count = 7200;
[[nodiscard]] constexpr Degrees edge_angle(std::size_t n) {
  return {static_cast<double>(n) * 360 / edge_count};
}

class Edges {
 public:
  /// The Moon's edge as it is at two instants, hours; between them it turns evenly, outside it stays.
  Edges(const Strip& strip, const Scene& scene, double early, double late);

  /// Everything below is for one instant and in arcseconds.
  struct Extreme {
    double gap;
    std::size_t n;
  };
  /// How far the Sun's edge stands out beyond the Moon's at angle n; negative where the Moon covers it.
  [[nodiscard]] double gap(std::size_t n, double t) const;
  [[nodiscard]] Extreme highest_gap(double t) const;
  [[nodiscard]] Extreme lowest_gap(double t) const;
  /// Heights of the two edges over the circle of radius `k`, around the Moon's centre.
  [[nodiscard]] double moon_height(std::size_t n, double t, double k) const;
  [[nodiscard]] double sun_height(std::size_t n, double t, double k) const;
  /// Where on the Sun's edge angle n points: the position angle from the Sun's centre.
  [[nodiscard]] Degrees angle_on_sun(std::size_t n, double t) const;

  [[nodiscard]] Discs discs_at(double t) const;

 private:
  /// The Sun's edge and the share of the later profile at one instant.
  struct Instant {
    Discs discs;
    double late_share;
  };
  [[nodiscard]] Instant instant(double t) const;
  [[nodiscard]] double sun_edge(const Discs& discs, std::size_t n) const;
  [[nodiscard]] double moon_edge(const Instant& now, std::size_t n) const;

  contacts::Shadow shadow_;
  contacts::Observer observer_;
  Arcseconds solar_radius_;
  double early_, late_;
  std::vector<double> early_edge_;  // angle at the observer times distance, kilometres
  std::vector<double> late_edge_;
};

}  // namespace noonfall::limb
