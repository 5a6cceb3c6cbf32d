#include "lib/limb/sky_view.h"

#include <algorithm>
#include <cmath>

#include <erfa.h>
#include <boost/math/tools/rational.hpp>

#include "lib/limb/directions.h"

namespace noonfall::limb {
namespace {

constexpr double earth_radius_km = contacts::earth_radius.value / 1000;
constexpr double unix_epoch_jd = 2440587.5;
constexpr double light_km_per_day = 299'792.458 * 86400;
constexpr double light_au_per_day = 173.1446326846693;  // 299792.458 km/s in IAU 2012 astronomical units

double value(const contacts::Series& series, double t) {
  return boost::math::tools::evaluate_polynomial(series.data(), t, series.size());
}

/// Days of TT since the Unix epoch; TDB is never 2 ms from it.
double day_of(const contacts::Elements& elements, double t) {
  return in_seconds(elements.t0().since_1970) / 86400 + t / 24;
}

/// East, north and sunward of the fundamental plane, in the ICRF.
Matrix axis_frame(const contacts::Elements& elements, double t) {
  const double day = day_of(elements, t);
  double of_date[3][3];
  eraPnm06a(unix_epoch_jd, day, of_date);
  // mu is the hour angle were UT1 equal to TT
  const double sidereal = eraGst06(unix_epoch_jd, day, unix_epoch_jd, day, of_date);
  const double a = sidereal - radians({value(elements.mu, t)});
  const double d = radians({value(elements.d, t)});
  const auto in_icrf = [&](const Vector& v) {
    Vector out;
    eraTrxp(of_date, const_cast<double*>(v.data()), out.data());
    return out;
  };
  return {in_icrf({-std::sin(a), std::cos(a), 0}),
          in_icrf({-std::sin(d) * std::cos(a), -std::sin(d) * std::sin(a), std::cos(d)}),
          in_icrf({std::cos(d) * std::cos(a), std::cos(d) * std::sin(a), std::sin(d)})};
}

Vector earth_velocity_over_light(double day) {
  double heliocentric[2][3];
  double barycentric[2][3];
  (void)eraEpv00(unix_epoch_jd, day, heliocentric, barycentric);  // warns outside 1900 to 2100 alone
  const auto* v = barycentric[1];
  return {v[0] / light_au_per_day, v[1] / light_au_per_day, v[2] / light_au_per_day};
}

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

MoonView moon_view(const contacts::Elements& elements, const contacts::Shadow& shadow,
                   const contacts::Observer& observer, double t) {
  const auto s = shadow.at(t, observer);
  const double sunward = shadow.moon_distance(t) - s.zeta;
  const double distance_km = std::sqrt(s.distance_squared() + sunward * sunward) * earth_radius_km;
  const auto frame = axis_frame(elements, t);
  const double day = day_of(elements, t);
  // Elements are made of apparent places: without aberration the Moon is where its light comes from.
  const auto apparent = unit(turned_back(frame, {s.u, s.v, sunward}));
  const auto to_moon = unit(sum(1, apparent, -1, earth_velocity_over_light(day)));
  const auto moon = mean_earth_axes(unix_epoch_jd + day - distance_km / light_km_per_day);
  const auto below = turned(moon, {-to_moon[0], -to_moon[1], -to_moon[2]});
  const auto pole = turned(frame, moon[2]);
  return {{degrees(std::atan2(below[1], below[0])), degrees(std::asin(below[2])), distance_km},
          degrees(std::atan2(pole[0], pole[1]))};
}

double Discs::mean_moon_radius(double k) const {
  return std::asin(k * earth_radius_km / moon_distance_km);
}

Discs discs(const contacts::Shadow& shadow, const contacts::Observer& observer, Arcseconds solar_radius,
            double t) {
  constexpr double astronomical_unit_km = 149'597'870.7;  // IAU 2012 resolution B2
  const auto s = shadow.at(t, observer);
  const double across = std::sqrt(s.distance_squared());
  const double to_moon = shadow.moon_distance(t) - s.zeta;
  const double to_sun = shadow.sun_distance(t) - s.zeta;
  const double sun_km = std::hypot(across, to_sun) * earth_radius_km;
  const double sun_sine = std::sin(radians({solar_radius.value / 3600})) * astronomical_unit_km / sun_km;
  const bool centred = across < 1e-12;
  return {std::atan(across / to_moon) - std::atan(across / to_sun), centred ? 0 : -s.u / across,
          centred ? 1 : -s.v / across, std::asin(sun_sine), std::hypot(across, to_moon) * earth_radius_km};
}

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
