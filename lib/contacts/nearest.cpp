#include "lib/contacts/nearest.h"

#include <algorithm>
#include <functional>

namespace noonfall::contacts {
namespace {

/// Where `distance` is least between two hours that enclose one minimum.
double golden_section(const std::function<double(double)>& distance, double from, double to) {
  constexpr double ratio = 0.6180339887498949;
  double low = to - ratio * (to - from);
  double high = from + ratio * (to - from);
  double at_low = distance(low);
  double at_high = distance(high);
  while (to - from > 1e-6) {
    if (at_low < at_high) {
      to = high;
      high = low;
      at_high = at_low;
      low = to - ratio * (to - from);
      at_low = distance(low);
    } else {
      from = low;
      low = high;
      at_low = at_high;
      high = from + ratio * (to - from);
      at_high = distance(high);
    }
  }
  return (from + to) / 2;
}

/// Metres, very many where the line isn't on the Earth.
std::function<double(double)> distance_to(const Shadow& shadow, PathLine line, const Site& site) {
  return [&shadow, line, site](double t) {
    constexpr double nowhere_m = 1e9;
    const auto point = point_on(shadow, line, t, site.height);
    return point ? distance_between(*point, site).value : nowhere_m;
  };
}

/// Abreast of the site, not just the end of the line.
bool is_amid(const Shadow& shadow, PathLine line, const NearestPoint& point) {
  constexpr double moment_h = 2.0 / 3600;
  return point_on(shadow, line, point.t - moment_h, point.site.height) &&
         point_on(shadow, line, point.t + moment_h, point.site.height);
}

}  // namespace

std::optional<NearestPoint> nearest_within(const Shadow& shadow, PathLine line, const Site& site,
                                           const HourSpan& span) {
  const double t = golden_section(distance_to(shadow, line, site), span.from, span.to);
  const auto point = point_on(shadow, line, t, site.height);
  if (!point) return std::nullopt;
  return NearestPoint{*point, t, distance_between(*point, site)};
}

std::optional<NearestPoint> nearest_on(const Shadow& shadow, PathLine line, const Site& site) {
  const auto span = span_of(shadow, line, site.height);
  if (!span) return std::nullopt;
  constexpr double step_h = 1.0 / 60;
  const auto distance = distance_to(shadow, line, site);
  double best = span->from;
  for (double t = span->from; t < span->to; t += step_h) {
    if (distance(t) < distance(best)) best = t;
  }
  return nearest_within(shadow, line, site,
                        {std::max(best - step_h, span->from), std::min(best + step_h, span->to)});
}

std::optional<Metres> width_at(const Shadow& shadow, const Site& centre, double t) {
  constexpr double reach_h = 0.1;  // a limit is passed abreast of the centre line within minutes
  const HourSpan near{t - reach_h, t + reach_h};
  const auto north = nearest_within(shadow, PathLine::north, centre, near);
  const auto south = nearest_within(shadow, PathLine::south, centre, near);
  if (!north || !south) return std::nullopt;
  if (!is_amid(shadow, PathLine::north, *north) || !is_amid(shadow, PathLine::south, *south))
    return std::nullopt;
  return Metres{north->distance.value + south->distance.value};
}

}  // namespace noonfall::contacts
