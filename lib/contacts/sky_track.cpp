#include "lib/contacts/sky_track.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "lib/contacts/angles.h"
#include "lib/contacts/solve.h"

namespace noonfall::contacts {
namespace {

struct Equatorial {
  double declination_rad;
  double hour_angle_rad;  // west of the meridian positive
};

Equatorial equatorial(const Contact& contact, Degrees latitude) {
  const double phi = radians(latitude);
  const double h = radians(contact.altitude);
  const double a = radians(contact.azimuth);
  return {std::asin(std::sin(phi) * std::sin(h) + std::cos(phi) * std::cos(h) * std::cos(a)),
          std::atan2(-std::sin(a) * std::cos(h),
                     std::sin(h) * std::cos(phi) - std::cos(h) * std::cos(a) * std::sin(phi))};
}

/// The Sun's right ascension and declination, the Astronomical Almanac's low-precision formulas: within 0.01
/// degree from 1950 to 2050.
struct OnSphere {
  double right_ascension_rad;
  double declination_rad;
};
OnSphere almanac_sun(double days_from_2000) {
  const double mean_longitude = 280.460 + 0.9856474 * days_from_2000;
  const double anomaly = radians(Degrees{357.528 + 0.9856003 * days_from_2000});
  const double longitude =
      radians(Degrees{mean_longitude + 1.915 * std::sin(anomaly) + 0.020 * std::sin(2 * anomaly)});
  const double obliquity = radians(Degrees{23.439 - 0.0000004 * days_from_2000});
  return {std::atan2(std::cos(obliquity) * std::sin(longitude), std::cos(longitude)),
          std::asin(std::sin(obliquity) * std::sin(longitude))};
}

/// An hour's change on that date.
struct Motion {
  double declination_rad;
  double hour_angle_rad;
};
Motion motion_on(Date date) {
  const auto days = std::chrono::sys_days{date} - std::chrono::sys_days{std::chrono::year{2000} / 1 / 1};
  const auto before = almanac_sun(static_cast<double>(days.count()) - 0.5);
  const auto after = almanac_sun(static_cast<double>(days.count()) + 0.5);
  const double advance = std::remainder(after.right_ascension_rad - before.right_ascension_rad, 2 * pi);
  const double sidereal_hour = radians(Degrees{15.0410686});
  return {(after.declination_rad - before.declination_rad) / 24, sidereal_hour - advance / 24};
}

double squared(double value) {
  return value * value;
}

/// Hours from MID, squared.
double squared_hours(const Circumstances& sky, Utc at) {
  return squared(in_seconds(at - sky.at(ContactName::mid)->utc) / 3600);
}

/// Moon's radius, and the distance of centres at MID where no ring or totality tells it. A partial eclipse
/// has the Moon that covers as much of the area as of the diameter.
Discs at_mid(const Circumstances& sky) {
  if (sky.kind != Kind::partial) return {sky.magnitude, 0};
  double small = 0.9;
  double large = 1.1;
  const auto apart = [&](double moon) { return std::max(0.0, 1 + moon - 2 * sky.magnitude); };
  for (int halving = 0; halving < 30; ++halving) {
    const double moon = (small + large) / 2;
    const bool covers_less = covered_area(1, moon, apart(moon)) < sky.obscuration;
    (covers_less ? small : large) = moon;
  }
  return {small, apart(small)};
}

/// The instant within a day of MID, on the side that `step` goes to, from which it is otherwise than at MID.
std::optional<Utc> change(Utc mid, Duration step, auto is_up) {
  const bool up_at_mid = is_up(mid);
  auto same = mid;
  while (std::chrono::abs(same - mid) < std::chrono::hours{24} && is_up(same + step) == up_at_mid)
    same += step;
  auto other = same + step;
  if (is_up(other) == up_at_mid) return {};
  while (std::chrono::abs(other - same) > std::chrono::milliseconds{100}) {
    const auto between = same + (other - same) / 2;
    (is_up(between) == up_at_mid ? same : other) = between;
  }
  return same;
}

Daylight day_about_mid(const Circumstances& sky, auto is_up) {
  const auto& mid = sky.at(ContactName::mid);
  if (!mid) return {};
  constexpr auto step = std::chrono::minutes{5};
  const auto before = change(mid->utc, -step, is_up);
  const auto after = change(mid->utc, step, is_up);
  if (is_up(mid->utc)) return {true, before, after};
  return {false, after, before};
}

/// Where the Sun is then, its hour angle and declination going on from MID as they do on that day.
Equatorial sun_in(const Circumstances& sky, Utc at) {
  const auto& mid = *sky.at(ContactName::mid);
  const auto [at_mid, hour_angle] = equatorial(mid, sky.site.latitude);
  const auto motion = motion_on(sky.eclipse);
  const double hours = in_seconds(at - mid.utc) / 3600;
  return {at_mid + motion.declination_rad * hours, hour_angle + motion.hour_angle_rad * hours};
}

/// The parallactic angle (Meeus, Astronomical Algorithms, 2nd ed., formula 14.1).
Degrees zenith_from_north(const Circumstances& sky, Utc at) {
  const auto [delta, turned] = sun_in(sky, at);
  return in_circle(
      degrees(std::atan2(std::sin(turned), std::tan(radians(sky.site.latitude)) * std::cos(delta) -
                                               std::sin(delta) * std::cos(turned))));
}

struct Waypoint {
  Utc at;
  double north;
  double east;
};

/// Where the Moon's centre is at a contact. At internal tangency a larger Moon has it on the other side.
Waypoint waypoint(const Circumstances& sky, ContactName name, double moon, double nearest) {
  const auto& contact = *sky.at(name);
  double distance = 1 + moon;
  if (name == ContactName::mid) distance = nearest;
  if (name == ContactName::c2 || name == ContactName::c3) distance = 1 - moon;
  const double angle = radians(contact.position_angle);
  return {contact.utc, distance * std::cos(angle), distance * std::sin(angle)};
}

/// A partial eclipse has no contacts but MID between the outer ones, a central one knows better than MID.
std::vector<Waypoint> waypoints(const Circumstances& sky) {
  const auto [moon, nearest] = at_mid(sky);
  std::vector<Waypoint> track;
  for (const auto name : all_contacts) {
    const bool told = name != ContactName::mid || sky.kind == Kind::partial;
    if (!sky.at(name) || !told) continue;
    track.push_back(waypoint(sky, name, moon, nearest));
  }
  return track;
}

}  // namespace

std::optional<MoonPlace> moon_at(const Circumstances& sky, Utc at) {
  if (!sky.at(ContactName::mid)) return {};
  const auto track = waypoints(sky);
  for (std::size_t n = 1; n < track.size(); ++n) {
    const auto& from = track[n - 1];
    const auto& to = track[n];
    if (at < from.at || at > to.at || from.at == to.at) continue;
    const double part = in_seconds(at - from.at) / in_seconds(to.at - from.at);
    return MoonPlace{at_mid(sky).moon_radius, std::lerp(from.north, to.north, part),
                     std::lerp(from.east, to.east, part), zenith_from_north(sky, at)};
  }
  return {};
}

Degrees declination(const Circumstances& sky) {
  const auto& mid = sky.at(ContactName::mid);
  return mid ? degrees(equatorial(*mid, sky.site.latitude).declination_rad) : Degrees{0};
}

std::optional<SunPlace> sun_at(const Circumstances& sky, Utc at) {
  const auto& mid = sky.at(ContactName::mid);
  if (!mid) return {};
  const double phi = radians(sky.site.latitude);
  const auto [delta, turned] = sun_in(sky, at);
  const double up = std::sin(phi) * std::sin(delta) + std::cos(phi) * std::cos(delta) * std::cos(turned);
  const double north = std::cos(phi) * std::sin(delta) - std::sin(phi) * std::cos(delta) * std::cos(turned);
  const Degrees altitude = degrees(std::asin(std::clamp(up, -1.0, 1.0)));
  return SunPlace{altitude, refracted(altitude),
                  in_circle(degrees(std::atan2(-std::cos(delta) * std::sin(turned), north)))};
}

Daylight rise_and_set(const Circumstances& sky) {
  constexpr Degrees edge_at_horizon{-50.0 / 60};
  return day_about_mid(sky, [&](Utc at) { return sun_at(sky, at)->altitude >= edge_at_horizon; });
}

Daylight rise_and_set_over(const Circumstances& sky, Degrees hill) {
  return day_about_mid(sky, [&](Utc at) { return sun_at(sky, at)->apparent_altitude >= hill; });
}

std::optional<TimeSpan> eclipse_above(const Circumstances& sky, Degrees horizon) {
  const auto& first = sky.at(ContactName::c1);
  const auto& last = sky.at(ContactName::c4);
  if (!first || !last) return {};
  const auto up = [&](Utc at) { return sun_at(sky, at)->apparent_altitude >= horizon; };
  const auto edge = [&](Utc down_at, Utc up_at) {  // by halving
    while (std::chrono::abs(up_at - down_at) > std::chrono::milliseconds{100})
      (up(down_at + (up_at - down_at) / 2) ? up_at : down_at) = down_at + (up_at - down_at) / 2;
    return up_at;
  };
  constexpr auto step = std::chrono::minutes{1};
  auto start = sky.at(ContactName::mid)->utc;
  if (!up(start))
    for (start = first->utc; start < last->utc && !up(start);) start += step;
  if (start >= last->utc) return {};
  auto from = start;
  while (from > first->utc && up(from)) from -= step;
  auto until = start;
  while (until < last->utc && up(until)) until += step;
  from = std::max(from, first->utc);
  until = std::min(until, last->utc);
  return TimeSpan{up(from) ? from : edge(from, std::min(from + step, start)),
                  up(until) ? until : edge(until, std::max(until - step, start))};
}

Discs discs_at(const Circumstances& sky, Utc at) {
  const auto& mid = sky.at(ContactName::mid);
  if (!mid || at <= sky.at(ContactName::c1)->utc || at >= sky.at(ContactName::c4)->utc) return {};
  const bool before = at < mid->utc;
  const auto [moon, nearest] = at_mid(sky);
  const double outer = squared_hours(sky, sky.at(before ? ContactName::c1 : ContactName::c4)->utc);
  const auto& tangency = sky.at(before ? ContactName::c2 : ContactName::c3);
  const double inner = tangency ? squared_hours(sky, tangency->utc) : 0;
  const double at_inner = tangency ? squared(1 - moon) : squared(nearest);
  if (outer <= inner) return {moon, nearest};
  const double pace = (squared(1 + moon) - at_inner) / (outer - inner);
  return {moon, std::sqrt(std::max(0.0, at_inner + pace * (squared_hours(sky, at) - inner)))};
}

}  // namespace noonfall::contacts
