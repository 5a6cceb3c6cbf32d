#include "sim/sky/light.h"

#include <algorithm>
#include <cmath>

#include "lib/base/units.h"
#include "lib/exposure/brightness.h"
#include "sim/sky/luck.h"

namespace noonfall::sim {
namespace {

struct Darkening {
  std::array<double, 6> a;
  double mean;  // over the centre
};
constexpr std::array<Darkening, 3> darkening{{
    {{0.30854, 1.36620, -1.83572, 2.33221, -1.63082, 0.45959}, 0.8221},
    {{0.26073, 1.27428, -1.30352, 1.47085, -0.96618, 0.26384}, 0.8002},
    {{0.16604, 1.38544, -1.52275, 2.00232, -1.45969, 0.42864}, 0.7651},
}};

/// Between two angles in turns, 0 to 0.5.
double apart(double a, double b) {
  const double d = std::abs(a - b);
  return std::min(d, 1 - d);
}

}  // namespace

Rgb disc_light(double share) {
  const double mu = std::sqrt(std::max(0.0, 1 - share * share));
  Rgb out{};
  for (std::size_t colour = 0; colour < 3; ++colour) {
    double sum = 0;
    for (std::size_t power = 6; power-- > 0;) sum = sum * mu + darkening[colour].a[power];
    out[colour] = static_cast<float>(sum / darkening[colour].mean);
  }
  return out;
}

double corona_light(double r) {
  return exposure::corona_of_centre(r) / darkening[1].mean;
}

Corona::Corona(std::uint64_t seed) : law_(radii), stretch_(angles), streamer_(angles) {
  Luck luck{seed};
  for (std::size_t n = 0; n < radii; ++n)
    law_[n] = static_cast<float>(corona_light(1 + (reach - 1) * static_cast<double>(n) / radii));
  // Ludendorff's flattening lies between 0.05 and 0.3 (from memory); the poles are put at north and south.
  const double flattening = 0.05 + 0.25 * luck.share();
  struct Streamer {
    double angle, width, height;
  };
  std::vector<Streamer> streamers(5 + static_cast<std::size_t>(5 * luck.share()));
  for (auto& each : streamers) each = {luck.share(), 0.01 + 0.03 * luck.share(), 0.3 + 1.2 * luck.share()};
  for (std::size_t n = 0; n < angles; ++n) {
    const double angle = static_cast<double>(n) / angles;
    const double cosine = std::cos(2 * pi * angle);
    stretch_[n] = static_cast<float>(1 + flattening * cosine * cosine);
    double sum = 0;
    for (const auto& each : streamers) {
      const double off = apart(angle, each.angle) / each.width;
      sum += each.height * std::exp(-off * off);
    }
    streamer_[n] = static_cast<float>(sum);
  }
  prominences_.resize(3 + static_cast<std::size_t>(4 * luck.share()));
  for (auto& each : prominences_)
    each = {luck.share(), 0.002 + 0.006 * luck.share(), 0.02 + 0.05 * luck.share()};
}

float Corona::light(double r, double angle) const {
  const auto at_angle = static_cast<std::size_t>(angle * angles) % angles;
  const double as_if = 1 + (r - 1) * stretch_[at_angle];
  const auto at = static_cast<std::size_t>(std::max(0.0, (as_if - 1) / (reach - 1) * radii));
  if (at >= radii) return 0;
  // Streamers rise out of a quiet inner corona.
  const auto out = static_cast<float>(std::min(1.0, (r - 1) / 1.5));
  return law_[at] * (1 + streamer_[at_angle] * out);
}

float Corona::prominence(double r, double angle) const {
  double sum = 0;
  for (const auto& each : prominences_) {
    const double off = apart(angle, each.angle) / each.width;
    const double up = (r - 1) / each.height;
    if (off < 3 && up >= 0 && up < 2) sum += std::exp(-off * off - up * up * up);
  }
  return static_cast<float>(std::min(1.0, sum));
}

}  // namespace noonfall::sim
