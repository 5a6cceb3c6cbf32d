#include "lib/contacts/on_path.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include "lib/contacts/uncertainty.h"

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

bool is_central(Kind kind) {
  return kind == Kind::total || kind == Kind::annular;
}

/// C3 − C2 where the eclipse is total or annular, else 0.
double central_s(const ContactHours& hours) {
  if (!is_central(hours.kind)) return 0;
  return (hours[ContactName::c3] - hours[ContactName::c2]) * 3600;
}

Site moved(const Site& site, Metres north, Metres east) {
  constexpr double metres_per_degree = 111'200;  // within 0.6 % anywhere
  const double shrink = std::max(std::cos(radians(site.latitude)), 1e-6);
  auto there = site;
  there.latitude.value += north.value / metres_per_degree;
  there.longitude.value += east.value / metres_per_degree / shrink;
  return there;
}

/// Empty where half a kilometre leads over a pole or out of the path.
std::optional<Gain> gain_at(const Shadow& shadow, const Site& site) {
  constexpr Metres step{500};
  if (std::abs(site.latitude.value) > 89.9) return std::nullopt;
  const auto lasts = [&](double north, double east) {
    return central_s(solve(shadow, Observer{moved(site, {north}, {east})}));
  };
  const std::array<double, 4> around{lasts(step.value, 0), lasts(-step.value, 0), lasts(0, step.value),
                                     lasts(0, -step.value)};
  if (*std::min_element(around.begin(), around.end()) <= 0) return std::nullopt;
  const double north = around[0] - around[1];
  const double east = around[2] - around[3];
  const double azimuth = degrees(std::atan2(east, north)).value;
  return Gain{std::hypot(north, east) / (2 * step.value) * 1000, {azimuth < 0 ? azimuth + 360 : azimuth}};
}

/// Across the limit the gap between the limbs grows by so much a metre: what moves the gap moves the limit.
Metres limit_error(const Shadow& shadow, const NearestPoint& limit, Kind kind, const Settings& settings) {
  ContactHours hours;
  hours.kind = kind;
  hours.at[static_cast<std::size_t>(ContactName::c2)] = limit.t;
  hours.deepest = limit.t;
  const auto gap = gap_at(shadow, Observer{limit.site}, hours, ContactName::c2);
  const double per_metre = std::hypot(gap.per_east, gap.per_north);
  return {gap_error(gap, kind, settings).value / per_metre};
}

/// The Moon's real edge knows the place better than its distance from a smooth one's limit does.
bool is_certain(const OnPath& on, const Circumstances& found) {
  if (on.inside && !is_central(found.kind)) return false;
  if (on.limb == Limb::mean || !is_central(found.kind)) return on.limit.distance > on.limit_error;
  return on.here > found.at(ContactName::c2)->uncertainty + found.at(ContactName::c3)->uncertainty;
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

std::optional<OnPath> on_path(const Elements& elements, const Circumstances& found,
                              const Settings& settings) {
  const Shadow shadow{elements, found.delta_t, settings.solar_radius};
  const auto north = nearest_on(shadow, PathLine::north, found.site);
  const auto south = nearest_on(shadow, PathLine::south, found.site);
  if (!north && !south) return std::nullopt;
  const bool northern = !south || (north && north->distance < south->distance);
  OnPath on;
  on.limit = northern ? *north : *south;
  on.limit_side = northern ? PathLine::north : PathLine::south;
  on.kind_at_limit = shadow.at(on.limit.t, Observer{on.limit.site}).umbra < 0 ? Kind::total : Kind::annular;
  auto circle = settings;  // what the lines are computed with
  circle.limb = Limb::mean;
  on.limit_error = limit_error(shadow, on.limit, on.kind_at_limit, circle);
  on.centre = nearest_on(shadow, PathLine::centre, found.site);
  if (found.at(ContactName::c2)) on.here = found.at(ContactName::c3)->utc - found.at(ContactName::c2)->utc;
  if (on.centre) on.at_centre = from_seconds(central_s(solve(shadow, Observer{on.centre->site})));
  on.inside = is_central(solve(shadow, Observer{found.site}).kind);
  on.limb = settings.limb;
  on.certain = is_certain(on, found);
  if (on.here > Duration{}) on.gain = gain_at(shadow, found.site);
  return on;
}

}  // namespace noonfall::contacts
