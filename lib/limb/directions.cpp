#include "lib/limb/directions.h"

#include "lib/base/units.h"

namespace noonfall::limb {
namespace {

/// One of the report's angles E1 to E13, degrees and degrees a day, with its share in right ascension,
/// declination and turn: sines in the first and last, cosines in the second.
struct Term {
  double at_epoch, per_day;
  double ascension, declination, turn;
};
constexpr std::array<Term, 13> terms{{
    {125.045, -0.0529921, -3.8787, 1.5419, 3.5610},
    {250.089, -0.1059842, -0.1204, 0.0239, 0.1208},
    {260.008, 13.0120009, 0.0700, -0.0278, -0.0642},
    {176.625, 13.3407154, -0.0172, 0.0068, 0.0158},
    {357.529, 0.9856003, 0, 0, 0.0252},
    {311.589, 26.4057084, 0.0072, -0.0029, -0.0066},
    {134.963, 13.0649930, 0, 0.0009, -0.0047},
    {276.617, 0.3287146, 0, 0, -0.0046},
    {34.226, 1.7484877, 0, 0, 0.0028},
    {15.134, -0.1589763, -0.0052, 0.0008, 0.0052},
    {119.743, 0.0036096, 0, 0, 0.0040},
    {239.961, 0.1643573, 0, 0, 0.0019},
    {25.053, 12.9590088, 0.0043, -0.0009, -0.0044},
}};

}  // namespace

Matrix mean_earth_axes(double jd_tdb) {
  const double days = jd_tdb - 2451545.0;
  const double centuries = days / 36525;
  double ascension = 269.9949 + 0.0031 * centuries;
  double declination = 66.5392 + 0.0130 * centuries;
  double turn = 38.3213 + 13.17635815 * days - 1.4e-12 * days * days;
  for (const auto& term : terms) {
    const double angle = radians({term.at_epoch + term.per_day * days});
    ascension += term.ascension * std::sin(angle);
    declination += term.declination * std::cos(angle);
    turn += term.turn * std::sin(angle);
  }
  const double a = radians({ascension});
  const double d = radians({declination});
  const double w = radians({turn});
  const Vector node{-std::sin(a), std::cos(a), 0};  // of the Moon's equator on the Earth's, along W = 0
  const Vector pole{std::cos(d) * std::cos(a), std::cos(d) * std::sin(a), std::sin(d)};
  const Vector beside = cross(pole, node);
  return {sum(std::cos(w), node, std::sin(w), beside), sum(-std::sin(w), node, std::cos(w), beside), pole};
}

}  // namespace noonfall::limb
