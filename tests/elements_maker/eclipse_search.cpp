#include "tests/elements_maker/eclipse_search.h"

#include <algorithm>
#include <cmath>

#include "lib/base/units.h"
#include "lib/contacts/shadow.h"

namespace noonfall::elements_maker {
namespace {

// Mean new moons: Meeus, Astronomical Algorithms, 2nd ed., 49.1. The true ones are within 15 hours of them.
constexpr double new_moon_of_2000_mjd = 51549.59766;
constexpr double month_days = 29.530588861;
constexpr double longest_wait_days = 0.7;

/// The shadow's axis and how it moves, in an hour.
struct Passage {
  ShadowNow now;
  double x_rate;
  double y_rate;
};

class Search {
 public:
  explicit Search(const Ephemeris& ephemeris)
      : ephemeris_(ephemeris), radii_(usual_radii(ephemeris.au_km())) {}

  /// Newton's steps to the least distance, along a path that is nearly straight.
  [[nodiscard]] GreatestEclipse nearest(double about_mjd) const {
    const double day = std::floor(about_mjd);
    Epoch tt{day, (about_mjd - day) * 24};
    for (int n = 0; n < 20; ++n) {
      const auto [now, x_rate, y_rate] = passage(tt);
      const double step = -(now.x * x_rate + now.y * y_rate) / (x_rate * x_rate + y_rate * y_rate);
      tt = tt.later_by(std::clamp(step, -10.0, 10.0));
      if (std::abs(step) < 1e-8) break;
    }
    const auto now = at(tt);
    return {tt, std::copysign(std::hypot(now.x, now.y), now.y)};
  }

  /// Whether the penumbra reaches the spheroid, which seen along the axis is an ellipse.
  [[nodiscard]] bool is_eclipse(const GreatestEclipse& greatest) const {
    const auto now = at(greatest.tt);
    const double e2 = contacts::earth_flattening * (2 - contacts::earth_flattening);
    const double cos_d = std::cos(radians({now.d}));
    const double half_axis = std::sqrt(1 - e2 * cos_d * cos_d);
    const double towards = std::atan2(now.y / half_axis, now.x);
    const double limb = std::hypot(std::cos(towards), half_axis * std::sin(towards));
    return std::abs(greatest.gamma) < limb + now.l1;
  }

 private:
  [[nodiscard]] ShadowNow at(const Epoch& tt) const {
    return shadow_now(apparent_places(ephemeris_, tt), radii_);
  }

  [[nodiscard]] Passage passage(const Epoch& tt) const {
    constexpr double apart_h = 0.1;
    const auto before = at(tt.later_by(-apart_h));
    const auto after = at(tt.later_by(apart_h));
    return {at(tt), (after.x - before.x) / (2 * apart_h), (after.y - before.y) / (2 * apart_h)};
  }

  const Ephemeris& ephemeris_;
  Radii radii_;
};

}  // namespace

std::vector<GreatestEclipse> find_eclipses(const Ephemeris& ephemeris, double first_mjd, double last_mjd) {
  const Search search{ephemeris};
  const auto first = std::ceil((first_mjd - longest_wait_days - new_moon_of_2000_mjd) / month_days);
  const auto last = std::floor((last_mjd + longest_wait_days - new_moon_of_2000_mjd) / month_days);
  std::vector<GreatestEclipse> eclipses;
  for (auto month = static_cast<int>(first); month <= static_cast<int>(last); ++month) {
    const auto greatest = search.nearest(new_moon_of_2000_mjd + month * month_days);
    const double mjd = greatest.tt.mjd + greatest.tt.hours / 24;
    if (mjd >= first_mjd && mjd < last_mjd && search.is_eclipse(greatest)) eclipses.push_back(greatest);
  }
  return eclipses;
}

}  // namespace noonfall::elements_maker
