// The belt of lunar heights in which the Moon's edge can lie, read from bytes and checked.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "lib/base/result.h"

namespace noonfall::limb {

/// Heights on a grid turned so that the edge runs along it: `c` is the angle from the Moon's mean-Earth +x
/// axis (towards the Earth on average), `phi` runs around that axis, 0 at lunar north and 90 on the side that
/// is east in our sky. Cell centres lie at phi = (i + 0.5) phi_step and c = c_edge + (j + 0.5) c_step,
/// degrees.
struct Strip {
  std::uint32_t n_phi = 0;
  std::uint32_t n_c = 0;
  double phi_step_deg = 0;
  double c_edge_deg = 0;
  double c_step_deg = 0;
  double quantum_km = 0;  // of the cells
  double reference_radius_km = 0;
  std::vector<std::int16_t> cells;  // phi-major: n_c heights for each phi
  bool operator==(const Strip&) const = default;

  [[nodiscard]] double height_km(std::uint32_t i, std::uint32_t j) const {
    return quantum_km * cells[std::size_t{i} * n_c + j];
  }
};

/// What every strip keeps to: phi goes once around, c covers the edge at any libration, the Moon is a Moon.
/// Empty when `strip` does, apart from its cells.
[[nodiscard]] std::string why_no_strip(const Strip& strip);

/// Version 2 of the format docs/accuracy.md describes, or version 1. Errors have the code "limb-data".
[[nodiscard]] Result<Strip> parse_strip(std::string_view bytes);

/// The reverse, in version 2.
[[nodiscard]] std::string to_bytes(const Strip& strip);

}  // namespace noonfall::limb
