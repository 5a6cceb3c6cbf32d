#include "lib/contacts/path.h"

#include <algorithm>
#include <cmath>

#include "lib/contacts/ground.h"

namespace noonfall::contacts {
namespace {

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
