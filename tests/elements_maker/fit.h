// Polynomials through the course of a quantity over some hours.
#pragma once

#include <array>

#include "lib/contacts/elements.h"

namespace noonfall::elements_maker {

/// How far from t0 the polynomials are fitted.
inline constexpr double fit_reach_h = 4;

/// The instants at which to take a quantity for `fit`, hours from t0.
inline constexpr std::size_t fit_points = 24;
[[nodiscard]] const std::array<double, fit_points>& fit_hours();

/// Least squares of degree 5 through `values` at `fit_hours`. Weighted as Chebyshev's polynomials are, so the
/// greatest error over the whole reach is near the least possible.
[[nodiscard]] contacts::Series fit(const std::array<double, fit_points>& values);

[[nodiscard]] double value_at(const contacts::Series& series, double hours);

}  // namespace noonfall::elements_maker
