// Strips of lunar heights for tests: the reference file, and Moons made up.
#pragma once

#include <fstream>
#include <iterator>
#include <optional>
#include <string>

#include <doctest/doctest.h>

#include "lib/limb/strip.h"
#include "tests/reference_file.h"

namespace noonfall::tests {

inline std::string bytes_of(const std::string& path) {
  std::ifstream file{path, std::ios::binary};
  return {std::istreambuf_iterator<char>{file}, {}};
}

/// 16 by 16 cells a degree, made from LROC WAC GLD100 (Scholten et al. 2012, doi:10.1029/2011JE003926); not
/// part of the checkout.
inline const limb::Strip* gld100_strip() {
  static const auto strip = []() -> std::optional<limb::Strip> {
    const auto path = reference_file("limb/lunar_limb_16x16.llb");
    if (!path) return std::nullopt;
    auto read = limb::parse_strip(bytes_of(*path));
    REQUIRE(read);
    return std::move(*read);
  }();
  if (!strip) (void)reference_file("limb/lunar_limb_16x16.llb");  // says so in each case
  return strip ? &*strip : nullptr;
}

/// A sphere of this radius, half a degree a cell.
inline limb::Strip smooth_strip(double radius_km) {
  return {720, 60, 0.5, 74, 0.5, 0.01, radius_km, std::vector<std::int16_t>(std::size_t{720} * 60)};
}

}  // namespace noonfall::tests
