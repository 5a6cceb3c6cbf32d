// Where the umbra goes on the ground: centre line and limits, their rows, and lines on a map that ends at 180
// degrees.
#pragma once

#include <optional>
#include <vector>

#include "lib/contacts/contact.h"
#include "lib/contacts/shadow.h"
#include "lib/contacts/solve.h"

namespace noonfall::contacts {

/// The three lines of a path. North and south are the sides of the shadow axis in the fundamental plane: left
/// and right of the way the shadow goes.
enum class PathLine { north, centre, south };
inline constexpr std::array<PathLine, 3> all_path_lines{PathLine::north, PathLine::centre, PathLine::south};
[[nodiscard]] std::string_view to_text(PathLine line);

/// The point of `line` at `t` (hours of TT from t0) and `height`: under the shadow axis, or where the umbra's
/// edge touches without crossing, then. Empty where the Sun isn't up there or the line isn't on the Earth.
[[nodiscard]] std::optional<Site> point_on(const Shadow& shadow, PathLine line, double t, Metres height);

/// When a line is on the Earth, from sunrise to sunset.
struct HourSpan {
  double from = 0;
  double to = 0;
};
[[nodiscard]] std::optional<HourSpan> span_of(const Shadow& shadow, PathLine line, Metres height);

/// Along the ground, from the chord between them; within 0.1 % up to 1000 km.
[[nodiscard]] Metres distance_between(const Site& a, const Site& b);

/// The shadow axis at one instant, as from the Earth's centre.
struct Axis {
  double x, y;  // in the fundamental plane, Earth radii
  double sin_d, cos_d;
  double hour_angle;  // at longitude 0, radians
  double umbra;       // radius in the fundamental plane
};
[[nodiscard]] Axis axis_at(const Shadow& shadow, double t);

/// The sunlit point of the ellipsoid, raised by `height`, that lies in the fundamental plane's direction
/// (`xi`, `eta`); empty where that line passes the Earth by.
[[nodiscard]] std::optional<Site> ground_under(const Axis& axis, double xi, double eta, Metres height);

/// The pieces of a line, in order. Where it crosses the antimeridian one ends and the next begins, at the
/// same latitude on either side of it (RFC 7946, 3.1.9). Neighbours are less than half a turn apart.
[[nodiscard]] std::vector<std::vector<Site>> cut_at_antimeridian(const std::vector<Site>& line);

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
