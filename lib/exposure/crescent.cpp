#include "lib/exposure/crescent.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace noonfall::exposure {
namespace {

/// Intensity over the centre's, as a polynomial in mu, the cosine of the angle to the vertical on the Sun.
double limb_darkening(double mu) {
  constexpr std::array<double, 6> a{0.26073, 1.27428, -1.30352, 1.47085, -0.96618, 0.26384};
  double sum = 0;
  for (auto term = a.rbegin(); term != a.rend(); ++term) sum = sum * mu + *term;
  return sum;
}

/// How much of the circle of radius r about the Sun's centre the Moon leaves free, 0 to 2 pi.
double free_arc_rad(const Crescent& crescent, double r) {
  const double k = crescent.moon_radius;
  const double d = crescent.centre_distance;
  if (r >= k + d || d >= k + r) return 2 * pi;
  if (r + d <= k) return 0;
  return 2 * pi - 2 * std::acos(std::clamp((r * r + d * d - k * k) / (2 * r * d), -1.0, 1.0));
}

}  // namespace

double mean_intensity(const Crescent& crescent) {
  constexpr int rings = 4000;
  const double inner_edge = std::clamp(crescent.moon_radius - crescent.centre_distance, 0.0, 1.0);
  const double mu_inner = std::sqrt(1 - inner_edge * inner_edge);
  double light = 0;
  double area = 0;
  for (int ring = 0; ring < rings; ++ring) {
    const double mu = mu_inner * (ring + 0.5) / rings;
    const double ring_area = mu * free_arc_rad(crescent, std::sqrt(1 - mu * mu));  // r dr = -mu dmu
    light += ring_area * limb_darkening(mu);
    area += ring_area;
  }
  return area > 0 ? light / area : 0;
}

Stops crescent_stops(const Crescent& crescent) {
  const double visible = mean_intensity(crescent);
  if (visible <= 0) return {0};
  const double whole = mean_intensity({1, 10});
  return {std::clamp(std::log2(whole / visible), 0.0, 2.0)};
}

}  // namespace noonfall::exposure
