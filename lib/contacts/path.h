// The path of the umbra over the ground: its centre line and its limits, on the ellipsoid or at one height
// above it, for a circular edge of the Moon.
#pragma once

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

}  // namespace noonfall::contacts
