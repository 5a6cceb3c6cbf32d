// The path of an eclipse as a list of points, for tables and maps.
#pragma once

#include <vector>

#include "lib/contacts/path.h"

namespace noonfall::contacts {

/// One instant of a path. At a line's first and last instant the others may be missing.
struct PathRow {
  double t = 0;
  std::array<std::optional<Site>, 3> at;  // by PathLine
  [[nodiscard]] const std::optional<Site>& operator[](PathLine line) const {
    return at[static_cast<std::size_t>(line)];
  }
};

/// Rows at whole multiples of `step_h` from `origin_h` and at each line's first and last instant, in order of
/// time, at sea level taken as the ellipsoid. None for an eclipse that is partial everywhere.
[[nodiscard]] std::vector<PathRow> path_rows(const Shadow& shadow, double origin_h, double step_h);

/// One line alone, so dense that no two points are farther apart than `most_apart`.
[[nodiscard]] std::vector<Site> trace(const Shadow& shadow, PathLine line, Metres most_apart);

}  // namespace noonfall::contacts
