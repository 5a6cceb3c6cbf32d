// Where the Sun stands and how the Moon lies before it between the contacts of a site, from the contacts
// alone.
#pragma once

#include <optional>

#include "lib/contacts/contact.h"

namespace noonfall::contacts {

/// Of the Sun's centre.
struct SunPlace {
  Degrees altitude;           // no refraction
  Degrees apparent_altitude;  // with standard refraction
  Degrees azimuth;            // from north through east, 0 to 360
};

/// The triangle of zenith, pole and Sun at MID, turned with the Earth and by the Sun's own motion on that day
/// (the low-precision formulas of the Astronomical Almanac): within 0.03 degree half a day around. Empty
/// where the eclipse isn't seen.
[[nodiscard]] std::optional<SunPlace> sun_at(const Circumstances& sky, Utc at);

struct TimeSpan {
  Utc from;
  Utc until;
  bool operator==(const TimeSpan&) const = default;
};
/// When the Sun comes up and goes down: around MID where it is up then, else when it went down before and
/// comes up after. Empty within the polar circles when there is no such instant in a day.
struct Daylight {
  bool up_at_mid = false;
  std::optional<Utc> rises;
  std::optional<Utc> sets;
  bool operator==(const Daylight&) const = default;
};
/// Of the Sun's upper edge at a level horizon, in 34' of refraction, with a radius of 16': the usual tables'.
/// All false and empty where the eclipse isn't seen.
[[nodiscard]] Daylight rise_and_set(const Circumstances& sky);
/// Of the Sun's centre over a hill that stands so high.
[[nodiscard]] Daylight rise_and_set_over(const Circumstances& sky, Degrees hill);

/// From C1 to C4, while the Sun's centre stands at or above `horizon` (apparent altitude): around MID, else
/// the first such spell. Empty where the eclipse isn't seen, or not above it.
[[nodiscard]] std::optional<TimeSpan> eclipse_above(const Circumstances& sky, Degrees horizon);

/// From that triangle; it moves by less than 0.1 degree in an eclipse. Zero where the eclipse isn't seen.
[[nodiscard]] Degrees declination(const Circumstances& sky);

/// In solar radii.
struct Discs {
  double moon_radius = 1;
  double centre_distance = 3;  // between the two centres
};

/// The Moon passes in a straight line at a steady pace from contact to contact, a pace for each side of MID:
/// within 0.04 radii. Nothing is covered before C1 and after C4, or where the eclipse isn't seen.
[[nodiscard]] Discs discs_at(const Circumstances& sky, Utc at);

/// The Moon before the Sun as it is seen: its centre from the Sun's, in solar radii.
struct MoonPlace {
  double radius = 1;
  double north = 0;
  double east = 0;
  Degrees zenith;  // from celestial north through east
};

/// In straight lines at a steady pace through the contacts, where it is exact; between them within 0.05
/// radii. Empty before C1, after C4 and where the eclipse isn't seen.
[[nodiscard]] std::optional<MoonPlace> moon_at(const Circumstances& sky, Utc at);

}  // namespace noonfall::contacts
