#include "lib/look/filter_and_sky.h"

#include <cmath>

#include "lib/exposure/brightness.h"

namespace noonfall::look {
namespace {

using exposure::stops_per_magnitude;

constexpr double point_error = 0.05;  // stops, of one measure in a steady sky
constexpr double cloud_error = 0.1;   // stops off the line: such a point has half its weight
constexpr double sky_spread = 0.2;    // magnitudes per airmass: how far a clear sky differs from another
constexpr int rounds = 12;

struct Line {
  double at_zero = 0;
  double slope = 0;
  [[nodiscard]] double off(const LightPoint& point) const {
    return point.brighter.value - at_zero - slope * point.airmass;
  }
};

double weight_of(double off) {
  return 1 / (1 + off * off / (cloud_error * cloud_error));
}

/// Weighted, with the slope drawn towards zero. The matrix is regular: every weight is above zero.
Line solve(std::span<const LightPoint> points, const Line& before, bool first) {
  const double spread = sky_spread * stops_per_magnitude;
  double sum = 0;
  double x = 0;
  double y = 0;
  double xy = 0;
  double xx = point_error * point_error / (spread * spread);
  for (const auto& point : points) {
    const double weight = first ? 1 : weight_of(before.off(point));
    sum += weight;
    x += weight * point.airmass;
    y += weight * point.brighter.value;
    xx += weight * point.airmass * point.airmass;
    xy += weight * point.airmass * point.brighter.value;
  }
  const double det = sum * xx - x * x;
  return {(y * xx - x * xy) / det, (sum * xy - x * y) / det};
}

}  // namespace

Stops FilterAndSky::dark_at(double airmass) const {
  return {dark.value + stops_per_magnitude * (magnitudes_per_airmass - assumed) * airmass};
}

std::optional<FilterAndSky> fit(std::span<const LightPoint> points, double assumed) {
  if (points.size() < least_points) return std::nullopt;
  Line line;
  for (int n = 0; n < rounds; ++n) line = solve(points, line, n == 0);
  double squares = 0;
  for (const auto& point : points) squares += line.off(point) * line.off(point);
  return FilterAndSky{.dark = {-line.at_zero},
                      .magnitudes_per_airmass = assumed - line.slope / stops_per_magnitude,
                      .scatter = {std::sqrt(squares / static_cast<double>(points.size()))},
                      .points = points.size(),
                      .assumed = assumed};
}

}  // namespace noonfall::look
