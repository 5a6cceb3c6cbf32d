#include "lib/contacts/solve.h"

#include <algorithm>
#include <cmath>

#include "lib/contacts/angles.h"
#include "lib/contacts/circumstances.h"

namespace noonfall::contacts {
namespace {

enum class Cone { penumbra, umbra };

/// F = (cone radius)² − (distance from the axis)², positive inside the cone, and its derivatives.
struct Immersion {
  double value;
  double rate;
  double bend;
};

Immersion immersion(const ShadowState& s, Cone cone) {
  const double radius = cone == Cone::penumbra ? s.penumbra : s.umbra;
  const double radius_rate = cone == Cone::penumbra ? s.penumbra_rate : s.umbra_rate;
  return {radius * radius - s.distance_squared(),
          2 * (radius * radius_rate - s.u * s.u_rate - s.v * s.v_rate),
          -2 * (s.speed_squared() + s.u * s.u_bend + s.v * s.v_bend)};
}

struct Instant {
  double t;
  ShadowState state;
};

constexpr double longest_step_h = 1.5;

/// Deepest immersion in the umbra's cone (or the nearest approach to it). Far outside the shadow the
/// curvature may have the wrong sign, so a part of the speed² stands below it: the steps still lead towards
/// the axis.
Instant find_deepest(const Shadow& shadow, const Observer& observer) {
  double t = 0;
  for (int n = 0; n < 30; ++n) {
    const auto s = shadow.at(t, observer);
    const auto f = immersion(s, Cone::umbra);
    const double step = f.rate / std::max(-f.bend, 0.5 * s.speed_squared());
    if (std::abs(step) < 1e-6) return {t, s};
    t = std::clamp(t + std::clamp(step, -longest_step_h, longest_step_h), -elements_reach_h,
                   elements_reach_h);
  }
  return {t, shadow.at(t, observer)};
}

/// Where the cone's edge is met before (`side` -1) or after (+1) `inside`. There F is concave with F > 0 at
/// `inside`, so Halley's steps from the parabola's root converge; one across `inside` is pulled back.
double find_edge(const Shadow& shadow, const Observer& observer, Cone cone, const Instant& inside,
                 double side) {
  const auto top = immersion(inside.state, cone);
  double t = inside.t + side * std::sqrt(std::max(0.0, -2 * top.value / top.bend));
  for (int n = 0; n < 30; ++n) {
    const auto f = immersion(shadow.at(t, observer), cone);
    const double step = -2 * f.value * f.rate / (2 * f.rate * f.rate - f.value * f.bend);
    if (!std::isfinite(step)) return t;
    double next = t + std::clamp(step, -longest_step_h, longest_step_h);
    if ((next - inside.t) * side < 0) next = (t + inside.t) / 2;
    const double moved = std::abs(next - t);
    t = next;
    if (moved < 2e-4) return t;  // cubic convergence: what is left is below a microsecond
  }
  return t;
}

/// Radii and separation of the discs as they show in the plane through the observer, with one Moon for both.
struct Discs {
  double sun;
  double moon;
  double separation;
  [[nodiscard]] double covered_diameter() const { return (sun + moon - separation) / (2 * sun); }
};

Discs discs_with_k1(const Shadow& shadow, const ShadowState& s) {
  const double umbra = s.umbra + shadow.umbra_for_k1();
  return {(s.penumbra + umbra) / 2, (s.penumbra - umbra) / 2, std::sqrt(s.distance_squared())};
}

Discs discs_with_k2(const Shadow& shadow, const ShadowState& s) {
  const double penumbra = s.penumbra + shadow.umbra_for_k1();
  return {(penumbra + s.umbra) / 2, (penumbra - s.umbra) / 2, std::sqrt(s.distance_squared())};
}

/// One Newton step towards the greatest (penumbra − distance) / (penumbra + umbra).
double step_to_greatest(const Shadow& shadow, const ShadowState& s) {
  const double m = std::sqrt(s.distance_squared());
  const double along = (s.u * s.u_rate + s.v * s.v_rate) / m;
  const double bend = (s.speed_squared() + s.u * s.u_bend + s.v * s.v_bend - along * along) / m;
  const double width = s.penumbra + s.umbra + shadow.umbra_for_k1();
  const double width_rate = s.penumbra_rate + s.umbra_rate;
  const double slope = s.penumbra_rate - along - (s.penumbra - m) / width * width_rate;
  return slope / std::max(bend, 1e-3);
}

Instant find_greatest(const Shadow& shadow, const Observer& observer, Instant near) {
  for (int n = 0; n < 10; ++n) {
    const double step = std::clamp(step_to_greatest(shadow, near.state), -0.1, 0.1);
    if (!std::isfinite(step) || std::abs(step) < 1e-8) return near;
    near.t += step;
    near.state = shadow.at(near.t, observer);
    if (std::abs(step) < 1e-5) return near;
  }
  return near;
}

void set(ContactHours& hours, ContactName name, double t) {
  hours.at[static_cast<std::size_t>(name)] = t;
}

void add_outer_contacts(ContactHours& hours, const Shadow& shadow, const Observer& observer,
                        const Instant& mid) {
  set(hours, ContactName::mid, mid.t);
  set(hours, ContactName::c1, find_edge(shadow, observer, Cone::penumbra, mid, -1));
  set(hours, ContactName::c4, find_edge(shadow, observer, Cone::penumbra, mid, +1));
}

ContactHours central(const Shadow& shadow, const Observer& observer, const Instant& deepest) {
  ContactHours hours;
  hours.kind = deepest.state.umbra < 0 ? Kind::total : Kind::annular;
  const double c2 = find_edge(shadow, observer, Cone::umbra, deepest, -1);
  const double c3 = find_edge(shadow, observer, Cone::umbra, deepest, +1);
  set(hours, ContactName::c2, c2);
  set(hours, ContactName::c3, c3);
  add_outer_contacts(hours, shadow, observer, deepest);
  set(hours, ContactName::mid, (c2 + c3) / 2);
  const auto discs = discs_with_k2(shadow, deepest.state);
  hours.magnitude = discs.moon / discs.sun;
  hours.obscuration = std::min(1.0, hours.magnitude * hours.magnitude);
  return hours;
}

ContactHours partial(const Shadow& shadow, const Observer& observer, const Instant& deepest) {
  ContactHours hours;
  const auto greatest = find_greatest(shadow, observer, deepest);
  const auto discs = discs_with_k1(shadow, greatest.state);
  if (!(discs.covered_diameter() > 0)) return hours;
  hours.kind = Kind::partial;
  add_outer_contacts(hours, shadow, observer, greatest);
  hours.magnitude = discs.covered_diameter();
  hours.obscuration = covered_area(discs.sun, discs.moon, discs.separation);
  return hours;
}

/// Elements say nothing about instants out of their reach.
bool within_reach(const ContactHours& hours) {
  return std::all_of(hours.at.begin(), hours.at.end(),
                     [](double t) { return std::abs(t) < elements_reach_h; });
}

}  // namespace

double covered_area(double sun, double moon, double separation) {
  if (separation >= sun + moon) return 0;
  if (separation <= std::abs(sun - moon)) return moon >= sun ? 1 : moon * moon / (sun * sun);
  const auto half_angle = [&](double near, double far) {
    const double cosine = (separation * separation + near * near - far * far) / (2 * separation * near);
    return std::acos(std::clamp(cosine, -1.0, 1.0));
  };
  const double a = half_angle(sun, moon);
  const double b = half_angle(moon, sun);
  const auto segment = [](double radius, double angle) {
    return radius * radius * (angle - std::sin(angle) * std::cos(angle));
  };
  return std::clamp((segment(sun, a) + segment(moon, b)) / (pi * sun * sun), 0.0, 1.0);
}

ContactHours solve(const Shadow& shadow, const Observer& observer) {
  const auto deepest = find_deepest(shadow, observer);
  const bool is_central = immersion(deepest.state, Cone::umbra).value > 0;
  auto hours = is_central ? central(shadow, observer, deepest) : partial(shadow, observer, deepest);
  if (!within_reach(hours)) return {};
  hours.deepest = deepest.t;
  return hours;
}

Metres raised_by_refraction(Degrees altitude) {
  constexpr double highest_deg = 15;
  constexpr double air = 2.946e-4;  // n − 1 behind Saemundsson's refraction, from its value at 45 degrees
  if (altitude.value < -1 || altitude.value >= highest_deg) return {0};
  const double sines = std::cos(radians(refracted(altitude))) / std::cos(radians(altitude));
  return {earth_radius.value * ((1 + air) * sines - 1)};
}

double refraction_shift_h(const Shadow& shadow, const Site& site, const ContactHours& hours,
                          ContactName name) {
  const auto raise = raised_by_refraction(sun_angles(shadow, hours[name], Observer{site}).altitude);
  if (raise.value == 0) return 0;
  auto raised = site;
  raised.height.value += raise.value;
  const auto straight = solve(shadow, Observer{site});  // of the circle, whatever edge `hours` has
  const auto bent = solve(shadow, Observer{raised});
  return happens(bent.kind, name) && happens(straight.kind, name) ? bent[name] - straight[name] : 0;
}

}  // namespace noonfall::contacts
