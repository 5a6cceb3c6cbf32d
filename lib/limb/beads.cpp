#include "lib/limb/beads.h"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include <boost/math/tools/toms748_solve.hpp>

namespace noonfall::limb {
namespace {

using contacts::ContactName;
using contacts::Kind;

constexpr double least_life_s = 0.25;
constexpr double reach_s = in_seconds(bead_reach);
constexpr double seconds_an_hour = 3600;

struct Contact {
  const Edges& edges;
  Kind kind;
  double t;     // hours
  double away;  // -1 at C2, +1 at C3: the way out of totality or of the ring
};

/// Seconds from the contact, outwards, at which the Sun's edge crosses the Moon's at angle n; the reach when
/// it doesn't.
double crossing_s(const Contact& of, std::size_t n) {
  const double sign = of.kind == Kind::total ? 1 : -1;
  const auto gap = [&](double s) { return sign * of.edges.gap(n, of.t + of.away * s / seconds_an_hour); };
  const double at_contact = gap(0);
  if (at_contact >= 0) return 0;
  const double at_reach = gap(reach_s);
  if (at_reach <= 0) return reach_s;
  std::uintmax_t steps = 30;
  const auto close = [](double low, double high) { return high - low < 1e-3; };
  const auto root = boost::math::tools::toms748_solve(gap, 0.0, reach_s, at_contact, at_reach, close, steps);
  return (root.first + root.second) / 2;
}

/// A landscape around the Moon whose summits are beads: what shines closest to totality stands highest, what
/// shines first of a ring.
std::vector<double> landscape(const Contact& of) {
  std::vector<double> heights(edge_count);
  for (std::size_t n = 0; n < edge_count; ++n)
    heights[n] = of.kind == Kind::total ? -crossing_s(of, n) : crossing_s(of, n);
  return heights;
}

std::size_t stepped(std::size_t n, int step) {
  return (n + edge_count + static_cast<std::size_t>(step)) % edge_count;
}

/// The lowest point between a summit and the first that `ends` on one side; around once at most.
double saddle(const std::vector<double>& heights, std::size_t summit, int step, const auto& ends) {
  double lowest = heights[summit];
  for (auto n = stepped(summit, step); n != summit && !ends(n); n = stepped(n, step))
    lowest = std::min(lowest, heights[n]);
  return lowest;
}

double prominence(const std::vector<double>& heights, std::size_t summit) {
  // of equal ones, only that which comes first stands out
  const auto higher = [&](std::size_t n) {
    return heights[n] > heights[summit] || (heights[n] == heights[summit] && n < summit);
  };
  return heights[summit] - std::max(saddle(heights, summit, -1, higher), saddle(heights, summit, +1, higher));
}

bool is_summit(const std::vector<double>& heights, std::size_t n) {
  return heights[n] >= heights[stepped(n, -1)] && heights[n] > heights[stepped(n, +1)];
}

std::vector<std::size_t> summits(const std::vector<double>& heights) {
  std::vector<std::size_t> found;
  for (std::size_t n = 0; n < edge_count; ++n) {
    const bool out_of_reach = std::abs(heights[n]) >= reach_s;
    if (!out_of_reach && is_summit(heights, n) && prominence(heights, n) >= least_life_s) found.push_back(n);
  }
  return found;
}

/// The highest of all has nothing higher to part from, so its nearest neighbours count.
std::optional<Duration> life(const std::vector<double>& heights, const std::vector<std::size_t>& all,
                             std::size_t summit) {
  const auto highest = *std::max_element(heights.begin(), heights.end());
  if (heights[summit] < highest) return from_seconds(prominence(heights, summit));
  if (all.size() < 2) return std::nullopt;
  const auto other = [&](std::size_t n) { return std::binary_search(all.begin(), all.end(), n); };
  return from_seconds(heights[summit] -
                      std::max(saddle(heights, summit, -1, other), saddle(heights, summit, +1, other)));
}

}  // namespace

std::vector<Bead> beads(const LimbContacts& found, ContactName name) {
  if (!found.edges || found.spells.empty()) return {};
  const bool first = name == ContactName::c2;
  const Contact of{*found.edges, found.circumstances.kind, first ? found.longest.from : found.longest.until,
                   first ? -1.0 : 1.0};
  const auto heights = landscape(of);
  const auto all = summits(heights);
  std::vector<Bead> list;
  for (const auto n : all) {
    const double s = of.away * std::abs(heights[n]);
    list.push_back(
        {n, of.edges.angle_on_sun(n, of.t + s / seconds_an_hour), from_seconds(s), life(heights, all, n)});
  }
  std::sort(list.begin(), list.end(),
            [](const Bead& a, const Bead& b) { return a.position_angle < b.position_angle; });
  return list;
}

Duration reach_of(const std::vector<Bead>& beads, std::size_t most) {
  std::vector<Duration> away;
  for (const auto& bead : beads) away.push_back(std::chrono::abs(bead.after_contact));
  std::sort(away.begin(), away.end());
  return away.empty() ? Duration{} : away[std::min(most, away.size()) - 1];
}

}  // namespace noonfall::limb
