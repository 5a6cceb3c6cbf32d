#include "lib/contacts/uncertainty.h"

#include <cmath>

#include <fmt/format.h>

#include "lib/contacts/gap.h"

namespace noonfall::contacts {
namespace {

// The mean limb against profiles from lunar topography at 24 total eclipses' sites 2017-2038: 95 %
// within 1.7".
constexpr Arcseconds limb_error{1.7};
// Mountains break a ring where valleys end totality, and k2 is made for valleys: about 1.9" on average in
// NASA RP 1301, Table 6 (annular eclipse of 1994 May 10).
constexpr Arcseconds annular_limb_error{2.4};
constexpr Arcseconds solar_radius_error{0.3};  // 959.63" to 959.95" are in use
constexpr Arcseconds ephemeris_error{0.02};    // DE405 against DE441, and the polynomials against DE405

struct Case {
  const Shadow& shadow;
  const Site& site;
  const ContactHours& hours;
  const Settings& settings;
};

/// Inversions and cold air change the bend at the horizon by a third now and then (no source).
constexpr double air_share = 0.3;

Seconds refraction_error(const Settings& settings, double shift_h) {
  const double shift_s = std::abs(shift_h) * 3600;
  return {settings.refraction == Refraction::applied ? air_share * shift_s : shift_s};
}

class Parts {
 public:
  void add(std::string reason, Seconds half_width) {
    if (half_width.value < 0.0005) return;
    parts_.push_back({std::move(reason), from_seconds(half_width.value)});
  }
  std::vector<UncertaintyPart> take() { return std::move(parts_); }

 private:
  std::vector<UncertaintyPart> parts_;
};

/// How far the error of each input may move the instant, as 95 % half-widths.
struct Leverage {
  Seconds limb, solar_radius, position, height, geoid, dut1, ephemeris;
};

Leverage at_edge(const Case& of, ContactName name) {
  const auto gap = gap_at(of.shadow, Observer{of.site}, of.hours, name);
  const auto& settings = of.settings;
  const auto shift = [&](double arcsec) { return shift_by(gap, {arcsec}); };
  const bool ring = of.hours.kind == Kind::annular && (name == ContactName::c2 || name == ContactName::c3);
  return {shift((ring ? annular_limb_error : limb_error).value),
          shift(solar_radius_error.value),
          shift(std::hypot(gap.per_east, gap.per_north) * settings.position_error.value),
          shift(gap.per_up * settings.height_error.value),
          shift(gap.per_up * settings.geoid_error.value),
          shift(gap.per_dut1 * in_seconds(settings.dut1_error)),
          shift(ephemeris_error.value)};
}

/// Seconds deepest immersion moves when the site is moved.
double deepest_shift_s(const Case& of, Degrees north, Degrees east, Metres up) {
  auto moved = of.site;
  moved.latitude.value += moved.latitude.value > 0 ? -north.value : north.value;  // never over the pole
  moved.longitude.value += east.value;
  moved.height.value += up.value;
  return (solve(of.shadow, Observer{moved}).deepest - of.hours.deepest) * 3600;
}

/// MID: errors of the limbs act on C2 and C3 apart, and not at all on greatest coverage at a partial site.
Leverage at_mid(const Case& of) {
  constexpr double step = 0.01;  // degrees; 1.1 km
  constexpr double metres_per_degree = 111'200;
  const auto& settings = of.settings;
  const double per_north = deepest_shift_s(of, {step}, {0}, {0}) / (step * metres_per_degree);
  const double per_degree_east = deepest_shift_s(of, {0}, {step}, {0}) / step;
  const Observer observer{of.site};
  const double per_east = per_degree_east / metres_per_degree / std::max(observer.cos_latitude, 1e-6);
  const double per_up = deepest_shift_s(of, {0}, {0}, {1000}) / 1000;
  constexpr double turn_deg_per_s = 15.041 / 3600;
  Leverage mid{};
  mid.position = {std::hypot(per_north, per_east) * settings.position_error.value};
  mid.height = {std::abs(per_up) * settings.height_error.value};
  mid.geoid = {std::abs(per_up) * settings.geoid_error.value};
  mid.dut1 = {std::abs(per_degree_east) * turn_deg_per_s * in_seconds(settings.dut1_error)};
  mid.ephemeris = {ephemeris_error.value / relative_speed(of.shadow, observer, of.hours[ContactName::mid])};
  if (of.hours.kind != Kind::partial) {
    mid.limb = {std::hypot(at_edge(of, ContactName::c2).limb.value, at_edge(of, ContactName::c3).limb.value) /
                2};
  }
  return mid;
}

}  // namespace

std::vector<UncertaintyPart> uncertainty_parts(const Shadow& shadow, const Site& site,
                                               const ContactHours& hours, ContactName name,
                                               double refraction_h, const Settings& settings) {
  const Case of{shadow, site, hours, settings};
  const auto moved = name == ContactName::mid ? at_mid(of) : at_edge(of, name);
  Parts parts;
  parts.add("lunar limb not applied: mountains and valleys of the Moon's edge", moved.limb);
  parts.add("radius of the Sun, measured differently by different people", moved.solar_radius);
  parts.add(fmt::format("position within {:g} m", settings.position_error.value), moved.position);
  parts.add(fmt::format("height within {:g} m", settings.height_error.value), moved.height);
  parts.add(fmt::format("height above sea level taken as height above the ellipsoid, up to {:g} m apart",
                        settings.geoid_error.value),
            moved.geoid);
  parts.add(fmt::format("UT1-UTC known to {:.2f} s", in_seconds(settings.dut1_error)), moved.dut1);
  parts.add("a leap second may be announced by then", Seconds{in_seconds(settings.leap_second_error)});
  parts.add(settings.refraction == Refraction::applied ? "refraction near the horizon, for usual air"
                                                       : "refraction near the horizon not applied",
            refraction_error(settings, refraction_h));
  parts.add("ephemeris and shadow model", moved.ephemeris);
  return parts.take();
}

Duration total(const std::vector<UncertaintyPart>& parts) {
  double squares = 0;
  for (const auto& part : parts) squares += in_seconds(part.half_width) * in_seconds(part.half_width);
  return from_seconds(std::sqrt(squares));
}

}  // namespace noonfall::contacts
