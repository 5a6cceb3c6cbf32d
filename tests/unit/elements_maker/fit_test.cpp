#include "tests/elements_maker/fit.h"

#include <cmath>

#include <doctest/doctest.h>

using namespace noonfall;
using namespace noonfall::elements_maker;

TEST_CASE("a polynomial of degree 5 is fitted by itself") {
  const contacts::Series wanted{0.3, -0.5, 2e-5, -9e-6, 3e-9, 4e-11};
  std::array<double, fit_points> values{};
  for (std::size_t n = 0; n < fit_points; ++n) values[n] = value_at(wanted, fit_hours()[n]);
  const auto found = fit(values);
  for (std::size_t n = 0; n < wanted.size(); ++n) {
    CAPTURE(n);
    CHECK(std::abs(found[n] - wanted[n]) * std::pow(fit_reach_h, static_cast<double>(n)) < 1e-14);
  }
}

TEST_CASE("anything else is fitted as evenly as Chebyshev's theorem says") {
  // cos(t/4) over -4..4: the series in Bessel functions of the first kind leaves 2 J6(1) = 4.188e-5 at
  // most, and little less is possible (Abramowitz and Stegun 9.1.45; the value from memory).
  std::array<double, fit_points> values{};
  for (std::size_t n = 0; n < fit_points; ++n) values[n] = std::cos(fit_hours()[n] / 4);
  const auto found = fit(values);
  double worst = 0;
  for (double t = -4; t <= 4; t += 0.01)
    worst = std::max(worst, std::abs(value_at(found, t) - std::cos(t / 4)));
  CHECK(worst > 4.15e-5);
  CHECK(worst < 4.23e-5);
}
