#include "tests/elements_maker/fit.h"

#include <cmath>

#include "lib/base/units.h"

namespace noonfall::elements_maker {
namespace {

using contacts::Series;

constexpr std::size_t terms = std::tuple_size_v<Series>;

double angle_of(std::size_t point) {
  return pi * (static_cast<double>(point) + 0.5) / static_cast<double>(fit_points);
}

/// Coefficients of T0, T1, …: at their own nodes Chebyshev's polynomials are orthogonal, so each comes by
/// itself.
Series chebyshev_terms(const std::array<double, fit_points>& values) {
  Series sums{};
  for (std::size_t n = 0; n < terms; ++n) {
    for (std::size_t point = 0; point < fit_points; ++point)
      sums[n] += values[point] * std::cos(static_cast<double>(n) * angle_of(point));
    sums[n] *= (n == 0 ? 1.0 : 2.0) / static_cast<double>(fit_points);
  }
  return sums;
}

/// Of x, times 2, less `before`: the next of Chebyshev's polynomials from the two before it.
Series next_polynomial(const Series& before, const Series& now) {
  Series next{};
  for (std::size_t power = 0; power < terms; ++power)
    next[power] = (power > 0 ? 2 * now[power - 1] : 0) - before[power];
  return next;
}

}  // namespace

const std::array<double, fit_points>& fit_hours() {
  static const auto hours = [] {
    std::array<double, fit_points> made{};
    for (std::size_t point = 0; point < fit_points; ++point)
      made[point] = fit_reach_h * std::cos(angle_of(point));
    return made;
  }();
  return hours;
}

Series fit(const std::array<double, fit_points>& values) {
  const auto sums = chebyshev_terms(values);
  Series result{};
  Series now{1};
  Series next{0, 1};
  for (const double sum : sums) {
    for (std::size_t power = 0; power < terms; ++power) result[power] += sum * now[power];
    const auto after = next_polynomial(now, next);
    now = next;
    next = after;
  }
  double scale = 1;
  for (auto& each : result) {
    each /= scale;
    scale *= fit_reach_h;
  }
  return result;
}

double value_at(const Series& series, double hours) {
  double value = 0;
  for (auto power = terms; power-- > 0;) value = value * hours + series[power];
  return value;
}

}  // namespace noonfall::elements_maker
