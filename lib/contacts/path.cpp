#include "lib/contacts/path.h"

#include <algorithm>
#include <cmath>
#include <set>

namespace noonfall::contacts {
namespace {

void trace_between(const Shadow& shadow, PathLine line, double from, double to, Metres most_apart,
                   std::vector<Site>& sites) {
  const auto end = point_on(shadow, line, to, {0});
  if (!end || sites.empty()) return;
  constexpr double shortest_h = 1e-4;
  if (to - from > shortest_h && distance_between(sites.back(), *end) > most_apart) {
    const double middle = (from + to) / 2;
    trace_between(shadow, line, from, middle, most_apart, sites);
    trace_between(shadow, line, middle, to, most_apart, sites);
    return;
  }
  sites.push_back(*end);
}

constexpr double scan_step_h = 20.0 / 3600;
constexpr double scan_reach_h = 4.2;  // no umbra is on the Earth for longer on either side of t0

/// Where the edge of the umbra only touches: the direction from the axis, clockwise from north, in which
/// immersion is 0 and stays 0 for an instant.
struct Touch {
  double direction;
  double radius;
};

Touch touch_seen_from(const Shadow& shadow, double t, const Site& site, PathLine line) {
  const auto s = shadow.at(t, Observer{site});
  const double radius_rate = s.umbra < 0 ? -s.umbra_rate : s.umbra_rate;
  const double lean = std::acos(std::clamp(-radius_rate / std::sqrt(s.speed_squared()), -1.0, 1.0));
  const double way = std::atan2(s.u_rate, s.v_rate);
  return {line == PathLine::north ? way - lean : way + lean, std::abs(s.umbra)};
}

/// A point near the axis to begin with: under it, or where it passes the Earth nearest.
std::optional<Site> first_guess(const Axis& axis, Metres height) {
  if (const auto under = ground_under(axis, axis.x, axis.y, height)) return under;
  const double out = std::hypot(axis.x, axis.y);
  if (out > 1.1) return std::nullopt;
  constexpr double inside = 0.99;
  return ground_under(axis, axis.x / out * inside, axis.y / out * inside, height);
}

/// The direction depends on the point by the Earth's turning alone, so putting one into the other converges
/// but within a fraction of a degree of the horizon.
std::optional<Site> limit_at(const Shadow& shadow, PathLine line, double t, Metres height) {
  const auto axis = axis_at(shadow, t);
  auto site = first_guess(axis, height);
  Touch before{0, 0};
  for (int n = 0; site && n < 60; ++n) {
    auto touch = touch_seen_from(shadow, t, *site, line);
    if (n > 8) touch = {(touch.direction + before.direction) / 2, (touch.radius + before.radius) / 2};
    site = ground_under(axis, axis.x + touch.radius * std::sin(touch.direction),
                        axis.y + touch.radius * std::cos(touch.direction), height);
    const double moved =
        std::abs(touch.radius - before.radius) + std::abs(touch.direction - before.direction) * touch.radius;
    if (moved < 1e-9) return site;  // 6 mm
    before = touch;
  }
  return std::nullopt;
}

/// Between `on`, when the line is on the Earth, and `off`.
double edge_of_span(const Shadow& shadow, PathLine line, Metres height, double on, double off) {
  constexpr double good_enough_h = 1e-3 / 3600;
  while (std::abs(on - off) > good_enough_h) {
    const double middle = (on + off) / 2;
    (point_on(shadow, line, middle, height) ? on : off) = middle;
  }
  return on;
}

}  // namespace

Axis axis_at(const Shadow& shadow, double t) {
  Observer centre{Site{}};
  centre.rho_sin_phi = 0;
  centre.rho_cos_phi = 0;
  const auto s = shadow.at(t, centre);
  return {s.u, s.v, s.sin_d, s.cos_d, std::atan2(s.sin_h, s.cos_h), s.umbra};
}

/// With a, b, c the point's coordinates towards the axis' meridian, east of it and along the Earth's axis:
/// b = xi, a = zeta cos d − eta sin d, c = zeta sin d + eta cos d, and a² + b² + k c² = r² gives zeta.
std::optional<Site> ground_under(const Axis& axis, double xi, double eta, Metres height) {
  const double h = height.value / earth_radius.value;
  const double r = 1 + h;
  const double k = std::pow(r / (1 - earth_flattening + h), 2);
  const double square = axis.cos_d * axis.cos_d + k * axis.sin_d * axis.sin_d;
  const double linear = eta * axis.sin_d * axis.cos_d * (k - 1);
  const double rest = eta * eta * (axis.sin_d * axis.sin_d + k * axis.cos_d * axis.cos_d) + xi * xi - r * r;
  const double under_root = linear * linear - square * rest;
  if (!(under_root >= 0)) return std::nullopt;
  const double zeta = (-linear + std::sqrt(under_root)) / square;
  const double a = zeta * axis.cos_d - eta * axis.sin_d;
  const double c = zeta * axis.sin_d + eta * axis.cos_d;
  const double longitude = std::remainder(std::atan2(xi, a) - axis.hour_angle, 2 * pi);
  return Site{degrees(std::atan2(c * k, std::hypot(a, xi))), degrees(longitude), height};
}

std::vector<std::vector<Site>> cut_at_antimeridian(const std::vector<Site>& line) {
  std::vector<std::vector<Site>> pieces(1);
  for (const auto& site : line) {
    auto& piece = pieces.back();
    if (!piece.empty() && std::abs(site.longitude.value - piece.back().longitude.value) > 180) {
      const auto before = piece.back();
      const double border = std::copysign(180, before.longitude.value);
      const double step = std::remainder(site.longitude.value - before.longitude.value, 360);
      const double part = step == 0 ? 0 : (border - before.longitude.value) / step;
      auto crossing = before;
      crossing.latitude.value += part * (site.latitude.value - before.latitude.value);
      crossing.longitude.value = border;
      piece.push_back(crossing);
      crossing.longitude.value = -border;
      pieces.push_back({crossing});
    }
    pieces.back().push_back(site);
  }
  return pieces;
}

std::vector<PathRow> path_rows(const Shadow& shadow, double origin_h, double step_h) {
  std::set<double> hours;
  for (const auto line : all_path_lines) {
    const auto span = span_of(shadow, line, {0});
    if (!span) continue;
    hours.insert({span->from, span->to});
    for (double n = std::ceil((span->from - origin_h) / step_h); origin_h + n * step_h < span->to; ++n)
      hours.insert(origin_h + n * step_h);
  }
  std::vector<PathRow> rows;
  for (const double t : hours) {
    PathRow row{t, {}};
    for (const auto line : all_path_lines)
      row.at[static_cast<std::size_t>(line)] = point_on(shadow, line, t, {0});
    rows.push_back(row);
  }
  return rows;
}

std::vector<Site> trace(const Shadow& shadow, PathLine line, Metres most_apart) {
  std::vector<Site> sites;
  const auto span = span_of(shadow, line, {0});
  if (!span) return sites;
  if (const auto start = point_on(shadow, line, span->from, {0})) sites.push_back(*start);
  constexpr int pieces = 256;
  const double piece = (span->to - span->from) / pieces;
  for (int n = 0; n < pieces; ++n) {
    trace_between(shadow, line, span->from + n * piece, span->from + (n + 1) * piece, most_apart, sites);
  }
  return sites;
}

std::string_view to_text(PathLine line) {
  switch (line) {
    case PathLine::north:
      return "northern limit";
    case PathLine::centre:
      return "centre line";
    case PathLine::south:
      return "southern limit";
  }
  return "centre line";
}

std::optional<Site> point_on(const Shadow& shadow, PathLine line, double t, Metres height) {
  if (line != PathLine::centre) return limit_at(shadow, line, t, height);
  const auto axis = axis_at(shadow, t);
  return ground_under(axis, axis.x, axis.y, height);
}

std::optional<HourSpan> span_of(const Shadow& shadow, PathLine line, Metres height) {
  std::optional<HourSpan> span;
  for (double t = -scan_reach_h; t <= scan_reach_h; t += scan_step_h) {
    if (!point_on(shadow, line, t, height)) continue;
    if (!span) span = HourSpan{t, t};
    span->to = t;
  }
  if (!span) return std::nullopt;
  return HourSpan{edge_of_span(shadow, line, height, span->from, span->from - scan_step_h),
                  edge_of_span(shadow, line, height, span->to, span->to + scan_step_h)};
}

Metres distance_between(const Site& a, const Site& b) {
  const Observer from{{a.latitude, a.longitude, {0}}};
  const Observer to{{b.latitude, b.longitude, {0}}};
  const double turn = to.longitude_rad - from.longitude_rad;
  const double chord = std::hypot(to.rho_cos_phi * std::cos(turn) - from.rho_cos_phi,
                                  to.rho_cos_phi * std::sin(turn), to.rho_sin_phi - from.rho_sin_phi);
  return {2 * std::asin(std::min(1.0, chord / 2)) * earth_radius.value};
}

}  // namespace noonfall::contacts
