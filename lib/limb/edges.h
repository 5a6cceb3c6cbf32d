// The Moon's edge before the Sun's around totality: how far the photosphere stands out, everywhere and at any
// instant.
#pragma once

#include <vector>

#include "lib/limb/sky_view.h"

namespace noonfall::limb {

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
