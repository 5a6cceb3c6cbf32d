#include "tests/elements_maker/ephemeris.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace noonfall::elements_maker {
namespace {

struct Sum {
  double value;
  double slope;
};

/// A Chebyshev series and its derivative at `x` from -1 to 1.
Sum chebyshev(const double* series, std::size_t terms, double x) {
  double now = 1;
  double next = x;
  double now_slope = 0;
  double next_slope = 1;
  Sum sum{0, 0};
  for (std::size_t n = 0; n < terms; ++n) {
    sum.value += series[n] * now;
    sum.slope += series[n] * now_slope;
    const double after = 2 * x * next - now;
    const double after_slope = 2 * next + 2 * x * next_slope - now_slope;
    now = next;
    next = after;
    now_slope = next_slope;
    next_slope = after_slope;
  }
  return sum;
}

}  // namespace

// The layout is that of the ephemeris's own header (GROUP 1050 of JPL's header.405), whose counts begin at 1
// and include the two dates of each record, which the table leaves out.

Motion Ephemeris::sum(const Layout& layout, const Epoch& tdb) const {
  const double days = (tdb.mjd - records_.first_mjd) + tdb.hours / 24;
  const double record = std::floor(days / records_.days_per_record);
  if (!(record >= 0 && record < static_cast<double>(records_.coefficients.size())))
    throw std::out_of_range("an instant DE405 doesn't reach");
  const double stretch_days = records_.days_per_record / static_cast<double>(layout.stretches);
  // the whole days first: they cancel exactly, and the rest keeps its digits
  const double into = (tdb.mjd - records_.first_mjd - record * records_.days_per_record) + tdb.hours / 24;
  const auto stretch = std::min(static_cast<std::size_t>(into / stretch_days), layout.stretches - 1);
  const double x = 2 * (into - static_cast<double>(stretch) * stretch_days) / stretch_days - 1;
  const auto& coefficients = records_.coefficients[static_cast<std::size_t>(record)];
  Motion motion{};
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const auto first = layout.from + (stretch * 3 + axis) * layout.terms;
    const auto [value, slope] = chebyshev(coefficients.data() + first, layout.terms, x);
    motion.place[axis] = value;
    motion.velocity[axis] = slope * 2 / stretch_days;
  }
  return motion;
}

Motion Ephemeris::beside_barycentre(const Epoch& tdb, double part) const {
  auto motion = sum({231 - 3, 13, 2}, tdb);
  const auto earth_to_moon = sum({441 - 3, 13, 8}, tdb);
  for (std::size_t axis = 0; axis < 3; ++axis) {
    motion.place[axis] += part * earth_to_moon.place[axis];
    motion.velocity[axis] += part * earth_to_moon.velocity[axis];
  }
  return motion;
}

Motion Ephemeris::earth(const Epoch& tdb) const {
  return beside_barycentre(tdb, -1 / (1 + records_.earth_moon_mass_ratio));
}

Motion Ephemeris::moon(const Epoch& tdb) const {
  return beside_barycentre(tdb, records_.earth_moon_mass_ratio / (1 + records_.earth_moon_mass_ratio));
}

Motion Ephemeris::sun(const Epoch& tdb) const {
  return sum({753 - 3, 11, 2}, tdb);
}

}  // namespace noonfall::elements_maker
