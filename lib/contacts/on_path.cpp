#include "lib/contacts/on_path.h"

#include <algorithm>
#include <cmath>

#include "lib/contacts/uncertainty.h"

namespace noonfall::contacts {
namespace {

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
