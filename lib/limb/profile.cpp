#include "lib/limb/profile.h"

#include <algorithm>

#include "lib/limb/directions.h"

namespace noonfall::limb {
namespace {

// The horizon lies 84.7 to 94.3 degrees from the point below the observer at any of 81 eclipse sites.
constexpr double psi_from_deg = 84;
constexpr int psi_degrees = 11;
constexpr int steps_a_degree = 16;
constexpr int psi_steps = psi_degrees * steps_a_degree;

constexpr double degree = pi / 180;

/// Sines and cosines of psi, the angle at the Moon's centre between the observer and a point of the surface.
struct PsiTable {
  std::array<double, psi_steps + 1> sine{};
  std::array<double, psi_steps + 1> cosine{};
  PsiTable() {
    for (std::size_t n = 0; n < sine.size(); ++n) {
      const double psi = (psi_from_deg + static_cast<double>(n) / steps_a_degree) * degree;
      sine[n] = std::sin(psi);
      cosine[n] = std::cos(psi);
    }
  }
};

/// A place on the grid, in cells from the centre of cell 0, 0.
struct GridPlace {
  double i, j;
};

class Grid {
 public:
  explicit Grid(const Strip& strip) : strip_(strip), last_j_(strip.n_c - 1) {}

  [[nodiscard]] GridPlace place_of(const Vector& p) const {
    const double c = std::acos(std::clamp(p[0], -1.0, 1.0)) / degree;
    const double phi = std::atan2(-p[1], p[2]) / degree;
    return {phi / strip_.phi_step_deg - 0.5, (c - strip_.c_edge_deg) / strip_.c_step_deg - 0.5};
  }

  /// The way from one place to another the short way around, by one of `steps`.
  [[nodiscard]] GridPlace step(const GridPlace& from, const GridPlace& to, int steps) const {
    const double around = std::remainder(to.i - from.i, static_cast<double>(strip_.n_phi));
    return {around / steps, (to.j - from.j) / steps};
  }

  /// Bilinear, in units of the cells; held at the strip's edges. `at.i` within a turn or two.
  [[nodiscard]] double height(const GridPlace& at) const {
    const double j = std::clamp(at.j, 0.0, static_cast<double>(last_j_));
    const auto j0 = std::min(static_cast<std::size_t>(j), last_j_ - 1);
    const double floor_i = std::floor(at.i);
    const auto* row = strip_.cells.data() + wrapped(static_cast<std::int64_t>(floor_i)) * strip_.n_c + j0;
    const auto* next =
        strip_.cells.data() + wrapped(static_cast<std::int64_t>(floor_i) + 1) * strip_.n_c + j0;
    const double across = j - static_cast<double>(j0);
    const double here = row[0] + across * (row[1] - row[0]);
    const double there = next[0] + across * (next[1] - next[0]);
    return here + (at.i - floor_i) * (there - here);
  }

 private:
  [[nodiscard]] std::size_t wrapped(std::int64_t i) const {
    const auto n = static_cast<std::int64_t>(strip_.n_phi);
    if (i < 0) i += n;
    return static_cast<std::size_t>(i >= n ? i - n : i);
  }

  const Strip& strip_;
  std::size_t last_j_;
};

struct Sight {
  const Strip& strip;
  const Grid& grid;
  double distance_km;
  Vector to_observer;
};

/// Along one axis angle. Between whole degrees of psi the place on the grid moves evenly, to 0.0003 degrees.
double edge_tangent(const Sight& sight, const Vector& outward) {
  static const PsiTable psi;
  const auto at_degree = [&](int n) {
    const auto k = static_cast<std::size_t>(n * steps_a_degree);
    return sight.grid.place_of(sum(psi.cosine[k], sight.to_observer, psi.sine[k], outward));
  };
  double highest = 0;
  auto place = at_degree(0);
  for (int n = 0; n < psi_degrees; ++n) {
    const auto next = at_degree(n + 1);
    const auto step = sight.grid.step(place, next, steps_a_degree);
    for (int m = 0; m < steps_a_degree; ++m) {
      const auto k = static_cast<std::size_t>(n * steps_a_degree + m);
      const double r =
          sight.strip.reference_radius_km +
          sight.strip.quantum_km * sight.grid.height({place.i + m * step.i, place.j + m * step.j});
      highest = std::max(highest, r * psi.sine[k] / (sight.distance_km - r * psi.cosine[k]));
    }
    place = next;
  }
  return highest;
}

}  // namespace

std::vector<double> edge_tangents(const Strip& strip, const Viewpoint& from,
                                  const std::vector<double>& axis_angles_rad) {
  const double lon = radians(from.longitude);
  const double lat = radians(from.latitude);
  const Vector o{std::cos(lat) * std::cos(lon), std::cos(lat) * std::sin(lon), std::sin(lat)};
  const Vector north = unit(sum(1, {0, 0, 1}, -o[2], o));
  const Vector east = cross(o, north);  // in the sky; the Moon's own east lies the other way
  const Grid grid{strip};
  const Sight sight{strip, grid, from.distance_km, o};
  std::vector<double> tangents;
  tangents.reserve(axis_angles_rad.size());
  for (const double angle : axis_angles_rad)
    tangents.push_back(edge_tangent(sight, sum(std::cos(angle), north, std::sin(angle), east)));
  return tangents;
}

}  // namespace noonfall::limb
