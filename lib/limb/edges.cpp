#include "lib/limb/edges.h"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include <boost/math/tools/minima.hpp>
#include <boost/math/tools/toms748_solve.hpp>

namespace noonfall::limb {
namespace {

struct Sample {
  double t;
  double value;
};

double crossing(const std::function<double(double)>& value, const Sample& a, const Sample& b) {
  std::uintmax_t steps = 60;
  const auto close = [](double low, double high) { return high - low < 1e-8; };
  const auto root = boost::math::tools::toms748_solve(value, a.t, b.t, a.value, b.value, close, steps);
  return (root.first + root.second) / 2;
}

/// A turn between the samples may cross zero unseen: it becomes a sample of its own.
void add_turns(const std::function<double(double)>& value, double near_zero, std::vector<Sample>& samples) {
  std::vector<Sample> with_turns;
  for (std::size_t n = 0; n < samples.size(); ++n) {
    with_turns.push_back(samples[n]);
    if (n == 0 || n + 1 >= samples.size() || std::abs(samples[n].value) > near_zero) continue;
    const double sign = samples[n].value > 0 ? 1 : -1;
    const bool turns = sign * samples[n - 1].value >= sign * samples[n].value &&
                       sign * samples[n + 1].value >= sign * samples[n].value;
    if (!turns) continue;
    const auto towards_zero = [&](double t) { return sign * value(t); };
    const auto turn =
        boost::math::tools::brent_find_minima(towards_zero, samples[n - 1].t, samples[n + 1].t, 20);
    if (turn.second >= 0) continue;
    if (turn.first < samples[n].t) with_turns.pop_back();
    with_turns.push_back({turn.first, sign * turn.second});
    if (turn.first < samples[n].t) with_turns.push_back(samples[n]);
  }
  samples = std::move(with_turns);
}

constexpr double arcsec = 180 * 3600 / pi;

struct Directions {
  std::vector<double> sine, cosine;
  Directions() {
    for (std::size_t n = 0; n < edge_count; ++n) {
      sine.push_back(std::sin(radians(edge_angle(n))));
      cosine.push_back(std::cos(radians(edge_angle(n))));
    }
  }
};

const Directions& directions() {
  static const Directions table;
  return table;
}

std::vector<double> edge_seen(const Strip& strip, const Scene& scene, double t) {
  const auto view = moon_view(scene.elements, scene.shadow, scene.observer, t);
  std::vector<double> angles(edge_count);
  for (std::size_t n = 0; n < edge_count; ++n)
    angles[n] = radians({edge_angle(n).value - view.north_angle.value});
  auto edge = edge_tangents(strip, view.from, angles);
  for (auto& each : edge) each = std::atan(each) * view.from.distance_km;
  return edge;
}

}  // namespace

std::vector<Spell> spells_below_zero(const std::function<double(double)>& value, const Search& search) {
  const auto count = static_cast<int>(std::ceil((search.until - search.from) / search.step));
  std::vector<Sample> samples;
  for (int n = 0; n <= count; ++n) {
    const double t = search.from + (search.until - search.from) * n / count;
    samples.push_back({t, value(t)});
  }
  add_turns(value, search.near_zero, samples);
  std::vector<Spell> spells;
  if (samples.front().value < 0) spells.push_back({search.from, search.until});
  for (std::size_t n = 1; n < samples.size(); ++n) {
    const auto& a = samples[n - 1];
    const auto& b = samples[n];
    if ((a.value < 0) == (b.value < 0)) continue;
    const double t = crossing(value, a, b);
    if (b.value < 0) {
      spells.push_back({t, search.until});
    } else {
      spells.back().until = t;
    }
  }
  return spells;
}

Edges::Edges(const Strip& strip, const Scene& scene, double early, double late)
    : shadow_(scene.shadow),
      observer_(scene.observer),
      solar_radius_(scene.solar_radius),
      early_(early),
      late_(late),
      early_edge_(edge_seen(strip, scene, early)),
      late_edge_(late > early ? edge_seen(strip, scene, late) : early_edge_) {}

Discs Edges::discs_at(double t) const {
  return discs(shadow_, observer_, solar_radius_, t);
}

Edges::Instant Edges::instant(double t) const {
  const double share = late_ > early_ ? (t - early_) / (late_ - early_) : 0;
  return {discs_at(t), std::clamp(share, 0.0, 1.0)};
}

/// The root keeps what a sum of radius and projected offset leaves out, up to 0.3".
double Edges::sun_edge(const Discs& discs, std::size_t n) const {
  const auto& way = directions();
  const double along = way.cosine[n] * discs.cosine + way.sine[n] * discs.sine;
  const double beside = discs.offset * (way.sine[n] * discs.cosine - way.cosine[n] * discs.sine);
  return discs.offset * along + std::sqrt(discs.sun_radius * discs.sun_radius - beside * beside);
}

double Edges::moon_edge(const Instant& now, std::size_t n) const {
  const double edge = early_edge_[n] + now.late_share * (late_edge_[n] - early_edge_[n]);
  return edge / now.discs.moon_distance_km;
}

double Edges::gap(std::size_t n, double t) const {
  const auto now = instant(t);
  return (sun_edge(now.discs, n) - moon_edge(now, n)) * arcsec;
}

Edges::Extreme Edges::highest_gap(double t) const {
  const auto now = instant(t);
  Extreme best{-1e9, 0};
  for (std::size_t n = 0; n < edge_count; ++n) {
    const double gap = sun_edge(now.discs, n) - moon_edge(now, n);
    if (gap > best.gap) best = {gap, n};
  }
  return {best.gap * arcsec, best.n};
}

Edges::Extreme Edges::lowest_gap(double t) const {
  const auto now = instant(t);
  Extreme best{1e9, 0};
  for (std::size_t n = 0; n < edge_count; ++n) {
    const double gap = sun_edge(now.discs, n) - moon_edge(now, n);
    if (gap < best.gap) best = {gap, n};
  }
  return {best.gap * arcsec, best.n};
}

double Edges::moon_height(std::size_t n, double t, double k) const {
  const auto now = instant(t);
  return (moon_edge(now, n) - now.discs.mean_moon_radius(k)) * arcsec;
}

double Edges::sun_height(std::size_t n, double t, double k) const {
  const auto discs = discs_at(t);
  return (sun_edge(discs, n) - discs.mean_moon_radius(k)) * arcsec;
}

Degrees Edges::angle_on_sun(std::size_t n, double t) const {
  const auto discs = discs_at(t);
  const auto& way = directions();
  const double out = sun_edge(discs, n);
  const double east = out * way.sine[n] - discs.offset * discs.sine;
  const double north = out * way.cosine[n] - discs.offset * discs.cosine;
  const double angle = degrees(std::atan2(east, north)).value;
  return {angle < 0 ? angle + 360 : angle};
}

}  // namespace noonfall::limb
