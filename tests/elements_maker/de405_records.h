// The Chebyshev records of JPL DE405 as a casacore table holds them (Debian's casacore-data-jpl-de405).
// Written for C++17, which is what casacore's headers compile as.
#pragma once

#include <string>
#include <vector>

#include <tl/expected.hpp>

namespace noonfall::elements_maker {

/// Each record covers `days_per_record` days of TDB from `first_mjd` + its index × that; kilometres.
struct De405Records {
  double first_mjd = 0;
  double days_per_record = 0;
  double au_km = 0;
  double earth_moon_mass_ratio = 0;
  double light_km_per_s = 0;
  std::vector<std::vector<double>> coefficients;
};

/// The error is a sentence.
[[nodiscard]] tl::expected<De405Records, std::string> read_de405(const std::string& folder);

}  // namespace noonfall::elements_maker
