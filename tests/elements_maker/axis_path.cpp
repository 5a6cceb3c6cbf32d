#include "tests/elements_maker/axis_path.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "lib/base/units.h"
#include "lib/contacts/shadow.h"
#include "tests/elements_maker/fit.h"

namespace noonfall::elements_maker {
namespace {

using contacts::EclipseType;
using contacts::Elements;

constexpr double minute_h = 1.0 / 60;

/// The axis cut with the spheroid |p|² + e (p · pole)² = 1: a quadratic in the height above the fundamental
/// plane, whose greater root is the sunlit side.
struct Cut {
  double half_b, c, a;
  [[nodiscard]] double discriminant() const { return half_b * half_b - a * c; }
  [[nodiscard]] double height() const { return (-half_b + std::sqrt(std::max(0.0, discriminant()))) / a; }
};

Cut cut_at(const Elements& elements, double t) {
  const double polar = 1 - contacts::earth_flattening;
  const double e = 1 / (polar * polar) - 1;
  const double d = radians({value_at(elements.d, t)});
  const double x = value_at(elements.x, t);
  const double y = value_at(elements.y, t);
  const double sin_d = std::sin(d);
  const double cos_d = std::cos(d);
  return {e * y * sin_d * cos_d, x * x + y * y + e * y * y * cos_d * cos_d - 1, 1 + e * sin_d * sin_d};
}

/// Radius of the umbra where the axis meets the ground, negative where the eclipse is total.
double umbra_on_ground(const Elements& elements, double t) {
  return value_at(elements.l2, t) - cut_at(elements, t).height() * elements.tan_f2;
}

bool meets(const Elements& elements, double t) {
  return cut_at(elements, t).discriminant() >= 0;
}

/// The instant between `off` and `on` at which the axis comes onto the Earth or leaves it.
double edge_between(const Elements& elements, double off, double on) {
  for (int n = 0; n < 50; ++n) {
    const double middle = (off + on) / 2;
    (meets(elements, middle) ? on : off) = middle;
  }
  return on;
}

struct UmbraRange {
  double least;
  double greatest;
};

/// Over the whole path, its ends included; empty where the axis misses the Earth.
std::optional<UmbraRange> umbra_along_path(const Elements& elements) {
  std::optional<UmbraRange> range;
  const auto take = [&](double t) {
    const double umbra = umbra_on_ground(elements, t);
    if (!range) range = UmbraRange{umbra, umbra};
    range = UmbraRange{std::min(range->least, umbra), std::max(range->greatest, umbra)};
  };
  const int steps = static_cast<int>(fit_reach_h / minute_h);
  bool met_before = false;
  for (int n = -steps; n <= steps; ++n) {
    const double t = n * minute_h;
    const bool met = meets(elements, t);
    if (met != met_before && n > -steps)
      take(edge_between(elements, met ? t - minute_h : t, met ? t : t - minute_h));
    if (met) take(t);
    met_before = met;
  }
  return range;
}

/// Whether the umbra reaches over the Earth's limb where the axis itself misses it.
bool umbra_touches(const Elements& elements, double t) {
  const auto cut = cut_at(elements, t);
  // the least of |p|² + e (p · pole)² along the axis; near the limb its root grows as the distance does
  const double outside = std::sqrt(1 - cut.discriminant() / cut.a) - 1;
  return outside < std::abs(value_at(elements.l2, t));
}

}  // namespace

bool is_central(const Elements& elements) {
  return umbra_along_path(elements).has_value();
}

EclipseType type_of(const Elements& elements) {
  if (const auto umbra = umbra_along_path(elements)) {
    if (umbra->least < 0 && umbra->greatest > 0) return EclipseType::hybrid;
    return umbra->least < 0 ? EclipseType::total : EclipseType::annular;
  }
  const double t = elements.greatest_h - elements.t0_h;
  if (!umbra_touches(elements, t)) return EclipseType::partial;
  return value_at(elements.l2, t) < 0 ? EclipseType::total : EclipseType::annular;
}

}  // namespace noonfall::elements_maker
