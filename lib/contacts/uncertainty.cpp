#include "lib/contacts/uncertainty.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace noonfall::contacts {
namespace {

constexpr double arcsec_per_radian = 180 * 3600 / pi;
constexpr double turn_rad_per_s = 2 * pi / 86164.09890;  // of the Earth, against the stars

/// Arcseconds between Sun and Moon for an Earth radius across the shadow axis at the observer.
double arcsec_per_radius(const Shadow& shadow, double t, const ShadowState& s) {
  return arcsec_per_radian * (1 / (shadow.moon_distance(t) - s.zeta) - 1 / (shadow.sun_distance(t) - s.zeta));
}

// The mean limb against profiles from LROC GLD100 topography at 41 sites of 25 total eclipses 1999-2038: 95 %
// within 1.7".
constexpr double mean_limb_arcsec = 1.7;
// The same at 1400 sites of 14 total eclipses 2017-2045 (tests/reference/limb_sites.csv), by contact. Valleys
// end totality 0.5" early at both; and the Moon's figure stands 0.4" east of its mass, which the elements go
// by: C2 comes back to the circle's on average, C3 comes 0.9" before it.
constexpr double mean_limb_at_c2_arcsec = 1.45;
constexpr double mean_limb_at_c3_arcsec = 2.1;
// Mountains break a ring where valleys end totality, and k2 is made for valleys: about 1.9" on average in
// NASA RP 1301, Table 6 (annular eclipse of 1994 May 10).
constexpr double mean_limb_of_ring_arcsec = 2.4;
// At the same sites, profiles from heights at 16 points a degree against those from 64: 95 % within 0.055",
// and twice that for half as many points. Peaks suffer more than valleys: six rows of the same table are
// within 1.0 s of duration, at 0.3" a second.
constexpr double profile_arcsec_px = 0.055 * 16;
constexpr double profile_of_ring_arcsec_px = 0.14 * 16;
constexpr double radius_with_mean_limb_arcsec = 0.3;  // 959.63" to 959.95" are in use
constexpr double radius_with_profile_arcsec = 0.1;    // 959.95" +- 0.05" (Quaglia et al. 2021)
constexpr Arcseconds ephemeris_error{0.008};          // DE405 against DE441: 0.02 s
constexpr Arcseconds model_error{0.013};  // Besselian elements against a direct solution from DE405

struct Case {
  const Shadow& shadow;
  const Site& site;
  const ContactHours& hours;
  const Settings& settings;
};

/// Inversions and cold air change the bend at the horizon by a third now and then (no source).
constexpr double air_share = 0.3;

double refraction_error_s(const Settings& settings, double shift_h) {
  const double shift_s = std::abs(shift_h) * 3600;
  return settings.refraction == Refraction::applied ? air_share * shift_s : shift_s;
}

class Parts {
 public:
  void add(std::string reason, double half_width_s) {
    if (half_width_s < 0.0005) return;
    parts_.push_back({std::move(reason), from_seconds(half_width_s)});
  }
  std::vector<UncertaintyPart> take() { return std::move(parts_); }

 private:
  std::vector<UncertaintyPart> parts_;
};

/// One figure for the error of each input: in the gap between the limbs, arcseconds, or in the instant,
/// seconds.
struct Leverage {
  double limb = 0, solar_radius = 0, position = 0, height = 0, geoid = 0, dut1 = 0, ephemeris = 0, model = 0;
};

/// Profiles are for C2 and C3; C1 and C4 are a circle's. At the limits of a path C2 and C3 are one.
enum class Edge { outer, c2, c3, limit, ring };

Edge edge_of(Kind kind, ContactName name) {
  if (name != ContactName::c2 && name != ContactName::c3) return Edge::outer;
  if (kind == Kind::annular) return Edge::ring;
  return name == ContactName::c2 ? Edge::c2 : Edge::c3;
}

bool has_profile(Edge edge, const Settings& settings) {
  return settings.limb == Limb::profile && edge != Edge::outer;
}

double mean_limb(Edge edge) {
  switch (edge) {
    case Edge::c2:
      return mean_limb_at_c2_arcsec;
    case Edge::c3:
      return mean_limb_at_c3_arcsec;
    case Edge::ring:
      return mean_limb_of_ring_arcsec;
    case Edge::outer:
    case Edge::limit:
      break;
  }
  return mean_limb_arcsec;
}

double limb_arcsec(Edge edge, const Settings& settings) {
  if (!has_profile(edge, settings)) return mean_limb(edge);
  return (edge == Edge::ring ? profile_of_ring_arcsec_px : profile_arcsec_px) / settings.limb_px_per_deg;
}

double solar_radius_arcsec(const Settings& settings) {
  const double usual =
      settings.limb == Limb::profile ? radius_with_profile_arcsec : radius_with_mean_limb_arcsec;
  return settings.solar_radius_error.value_or(Arcseconds{usual}).value;
}

Leverage in_gap(const Gap& gap, Edge edge, const Settings& settings) {
  return {limb_arcsec(edge, settings),
          solar_radius_arcsec(settings),
          std::hypot(gap.per_east, gap.per_north) * settings.position_error.value,
          std::abs(gap.per_up) * settings.height_error.value,
          std::abs(gap.per_up) * settings.geoid_error.value,
          std::abs(gap.per_dut1) * in_seconds(settings.dut1_error),
          ephemeris_error.value,
          model_error.value};
}

Leverage at_edge(const Case& of, ContactName name) {
  const auto gap = gap_at(of.shadow, Observer{of.site}, of.hours, name);
  const auto errors = in_gap(gap, edge_of(of.hours.kind, name), of.settings);
  const auto shift = [&](double arcsec) { return shift_by(gap, {arcsec}).value; };
  return {shift(errors.limb),  shift(errors.solar_radius), shift(errors.position),  shift(errors.height),
          shift(errors.geoid), shift(errors.dut1),         shift(errors.ephemeris), shift(errors.model)};
}

/// Seconds deepest immersion moves when the site is moved.
double deepest_shift_s(const Case& of, Degrees north, Degrees east, Metres up) {
  const double here = solve(of.shadow, Observer{of.site}).deepest;  // of the circle, whatever edge `of` has
  auto moved = of.site;
  moved.latitude.value += moved.latitude.value > 0 ? -north.value : north.value;  // never over the pole
  moved.longitude.value += east.value;
  moved.height.value += up.value;
  return (solve(of.shadow, Observer{moved}).deepest - here) * 3600;
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
  Leverage mid;
  mid.position = std::hypot(per_north, per_east) * settings.position_error.value;
  mid.height = std::abs(per_up) * settings.height_error.value;
  mid.geoid = std::abs(per_up) * settings.geoid_error.value;
  mid.dut1 = std::abs(per_degree_east) * turn_deg_per_s * in_seconds(settings.dut1_error);
  const double speed = relative_speed(of.shadow, observer, of.hours[ContactName::mid]);
  mid.ephemeris = ephemeris_error.value / speed;
  mid.model = model_error.value / speed;
  if (of.hours.kind != Kind::partial)
    mid.limb = std::hypot(at_edge(of, ContactName::c2).limb, at_edge(of, ContactName::c3).limb) / 2;
  return mid;
}

std::string limb_reason(ContactName name, const Settings& settings) {
  const bool outer = name == ContactName::c1 || name == ContactName::c4;
  if (outer || settings.limb == Limb::mean) return "lunar limb not applied: the Moon's mountains and valleys";
  return fmt::format("lunar limb data, {:g} px/deg", settings.limb_px_per_deg);
}

}  // namespace

Gap gap_at(const Shadow& shadow, const Observer& observer, const ContactHours& hours, ContactName name) {
  const double t = hours[name];
  const auto s = shadow.at(t, observer);
  const bool outer = name == ContactName::c1 || name == ContactName::c4;
  const double sign = !outer && s.umbra < 0 ? -1 : 1;  // the gap is distance − |radius|
  const double radius_rate = sign * (outer ? s.penumbra_rate : s.umbra_rate);
  const double radius_per_zeta = -sign * (outer ? shadow.tan_f1() : shadow.tan_f2());
  const double distance = std::max(std::sqrt(s.distance_squared()), 1e-9);
  const double scale = arcsec_per_radius(shadow, t, s);
  const auto per_metre = [&](const AxisVector& move) {
    const double apart = -(s.u * move.east + s.v * move.north) / distance;
    return scale * (apart - radius_per_zeta * move.sunward) / earth_radius.value;
  };
  const auto frame = local_frame(s, observer);
  Gap gap;
  gap.rate = scale * ((s.u * s.u_rate + s.v * s.v_rate) / distance - radius_rate) / 3600;
  gap.per_east = per_metre(frame.east);
  gap.per_north = per_metre(frame.north);
  gap.per_up = per_metre(frame.up);
  gap.per_dut1 = gap.per_east * turn_rad_per_s * observer.rho_cos_phi * earth_radius.value;
  gap.to_deepest_s = std::abs(t - hours.deepest) * 3600;
  return gap;
}

double relative_speed(const Shadow& shadow, const Observer& observer, double t) {
  const auto s = shadow.at(t, observer);
  return arcsec_per_radius(shadow, t, s) * std::sqrt(s.speed_squared()) / 3600;
}

Seconds shift_by(const Gap& gap, Arcseconds error) {
  const double reach = gap.to_deepest_s;
  const double spread = 2 * reach * std::abs(error.value) / std::max(std::abs(gap.rate), 1e-9);
  const double outwards = std::sqrt(reach * reach + spread) - reach;
  const double inwards = reach - std::sqrt(std::max(0.0, reach * reach - spread));
  return {std::max(outwards, inwards)};
}

Arcseconds gap_error(const Gap& gap, Kind kind, const Settings& settings) {
  const auto e = in_gap(gap, kind == Kind::annular ? Edge::ring : Edge::limit, settings);
  double squares = 0;
  for (const double part :
       {e.limb, e.solar_radius, e.position, e.height, e.geoid, e.dut1, e.ephemeris, e.model})
    squares += part * part;
  return {std::sqrt(squares)};
}

std::vector<UncertaintyPart> uncertainty_parts(const Shadow& shadow, const Site& site,
                                               const ContactHours& hours, ContactName name,
                                               double refraction_h, const Settings& settings) {
  const Case of{shadow, site, hours, settings};
  const auto moved = name == ContactName::mid ? at_mid(of) : at_edge(of, name);
  Parts parts;
  parts.add(limb_reason(name, settings), moved.limb);
  parts.add("radius of the Sun, measured differently by different people", moved.solar_radius);
  parts.add(fmt::format("position within {:g} m", settings.position_error.value), moved.position);
  parts.add(fmt::format("height within {:g} m", settings.height_error.value), moved.height);
  parts.add(fmt::format("sea level taken for the ellipsoid, up to {:g} m apart", settings.geoid_error.value),
            moved.geoid);
  parts.add(fmt::format("UT1-UTC known to {:.2f} s", in_seconds(settings.dut1_error)), moved.dut1);
  const double leaps_s = in_seconds(settings.leap_second_error);
  parts.add(leaps_s > 1 ? "leap seconds may be announced by then" : "a leap second may be announced by then",
            leaps_s);
  parts.add(settings.refraction == Refraction::applied ? "refraction near the horizon, for usual air"
                                                       : "refraction near the horizon not applied",
            refraction_error_s(settings, refraction_h));
  parts.add("ephemeris of Moon and Sun", moved.ephemeris);
  parts.add("shadow as polynomials of time", moved.model);
  return parts.take();
}

Duration total(const std::vector<UncertaintyPart>& parts) {
  double squares = 0;
  for (const auto& part : parts) squares += in_seconds(part.half_width) * in_seconds(part.half_width);
  return from_seconds(std::sqrt(squares));
}

}  // namespace noonfall::contacts
