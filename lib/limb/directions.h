// Directions and places in space as three numbers, and turning between frames.
#pragma once

#include <array>
#include <cmath>

namespace noonfall::limb {

using Vector = std::array<double, 3>;
/// Rows are the axes of one frame seen in another.
using Matrix = std::array<Vector, 3>;

inline double dot(const Vector& a, const Vector& b) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

inline Vector cross(const Vector& a, const Vector& b) {
  return {a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
}

/// a·p + b·q.
inline Vector sum(double p, const Vector& a, double q, const Vector& b) {
  return {p * a[0] + q * b[0], p * a[1] + q * b[1], p * a[2] + q * b[2]};
}

inline Vector unit(const Vector& a) {
  const double length = std::sqrt(dot(a, a));
  return {a[0] / length, a[1] / length, a[2] / length};
}

/// `a` in the frame whose axes are the rows.
inline Vector turned(const Matrix& rows, const Vector& a) {
  return {dot(rows[0], a), dot(rows[1], a), dot(rows[2], a)};
}

/// `a` of the frame whose axes are the rows, back in the frame they are given in.
inline Vector turned_back(const Matrix& rows, const Vector& a) {
  return sum(1, sum(a[0], rows[0], a[1], rows[1]), a[2], rows[2]);
}

/// The axes of the mean-Earth frame (x towards the Earth on average, z to lunar north) in the ICRF, at a
/// Julian date of TDB: the series of the IAU Working Group on Cartographic Coordinates and Rotational
/// Elements (Archinal et al. 2011, Celest. Mech. Dyn. Astr. 109, 101), kept for the Moon in its 2015 report.
[[nodiscard]] Matrix mean_earth_axes(double jd_tdb);

}  // namespace noonfall::limb
