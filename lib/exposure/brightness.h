// How much darker than the whole disc a crescent is, all of it being near the limb.
#pragma once

#include <cmath>
#include <optional>
#include <span>
#include <string_view>

#include "lib/base/units.h"
#include "lib/exposure/exposure.h"
#include "lib/exposure/subject.h"

namespace noonfall::exposure {

/// The Moon before the Sun, in solar radii.
struct Crescent {
  double moon_radius = 1;
  double centre_distance = 0;  // between the two centres
};

/// Mean intensity of the visible part of the Sun over that of the disc's centre, at 541.76 nm (limb darkening
/// of Neckel & Labs 1994, Solar Physics 153, 91). Zero when nothing is visible.
[[nodiscard]] double mean_intensity(const Crescent& crescent);

/// The light of the visible part over that of the whole Sun, 0 to 1.
[[nodiscard]] double light_left(const Crescent& crescent);

/// How much longer to expose the crescent than the whole Sun; 0 to 2 stops, the bulletins' "up to two more
/// stops" (NASA RP 1369). Zero when nothing is visible.
[[nodiscard]] Stops crescent_stops(const Crescent& crescent);

/// The corona's light over that of the disc's centre at so many radii from the Sun's centre (Baumbach 1937,
/// as in Allen, Astrophysical Quantities; from memory).
[[nodiscard]] double corona_of_centre(double radii);

/// Relative air mass after Kasten & Young 1989 (Applied Optics 28, 4735), from the apparent altitude. Below
/// the horizon as on it.
[[nodiscard]] double airmass(Degrees apparent_altitude);

/// Clear air at sea level, visual magnitudes per unit of air mass (from memory: 0.12 on a mountain, 0.5 in
/// haze).
inline constexpr double clear_air_magnitudes = 0.2;
/// The same higher up: of the 0.2 the molecules' 0.107 falls by e in 8 km, dust and haze in 1.5 km, and 0.016
/// of ozone stay (the split after Hayes & Latham 1975, Astrophysical Journal 197, 593; figures from memory).
[[nodiscard]] double clear_air_magnitudes_at(Metres elevation);

/// Two and a half magnitudes are ten times the light (Pogson's ratio).
inline const double stops_per_magnitude = 0.4 * std::log2(10.0);

/// How high the Sun stands where exposures are usually tried out.
inline constexpr Degrees tried_out_at{60};

/// Light lost on the way through the air.
[[nodiscard]] Stops extinction(Degrees apparent_altitude,
                               double magnitudes_per_airmass = clear_air_magnitudes);

/// How much longer to expose than with the Sun where exposures are tried out; zero above.
[[nodiscard]] Stops low_sun_stops(Degrees apparent_altitude,
                                  double magnitudes_per_airmass = clear_air_magnitudes);

/// Q of t = N^2 / (ISO * 2^Q): one more is twice as bright.
struct Brightness {
  double q = 0;
  friend constexpr auto operator<=>(Brightness, Brightness) = default;
};

/// Of a middle grey, of what the sensor holds: 10 / 78 (ISO 12232, the two constants of saturation speed).
inline constexpr double middle_grey = 10.0 / 78;
/// How much brighter than that the table has the Sun's disc, whose luminance of 1.6e9 cd/m2 is a middle grey
/// at Q 26.9, by K = 12.5 (ISO 2720).
inline constexpr Stops disc_above_grey{2.3};

/// A landscape by day, the Sun high: t = 1/ISO at f/16 (common practice, no source).
inline constexpr Brightness landscape_by_day{8};

/// How much darker than by day a landscape is under this Sun and Moon: sunlight and the sky's, both in step
/// with the light left, above the 10 lx that come from outside the shadow (figures from memory: 1.2e5 lx of
/// direct Sun, 1.5e4 lx of sky, 400 lx at sunset).
[[nodiscard]] Stops landscape_stops(Degrees apparent_altitude, const Crescent& crescent,
                                    double magnitudes_per_airmass = clear_air_magnitudes);

/// One row of the table. `density` is the solar filter's, zero for subjects taken without.
struct BrightnessRow {
  Subject subject;
  double density = 0;
  Brightness brightness;
};

struct BrightnessTable {
  std::string_view edition;
  std::string_view source;
  std::span<const BrightnessRow> rows;
};

/// The table of the 1997 bulletin. Later editions are said to print beads and chromosphere one stop fainter
/// (from memory).
[[nodiscard]] const BrightnessTable& published_brightness();

/// Where a brightness comes from.
enum class Basis {
  table_row,        // printed
  between_rows,     // straight line in Q over filter density, or over log height in the corona
  beyond_rows,      // filter: log2(10) a unit of density; corona below 0.1: its slope; above 8: the last row
  common_practice,  // no published row and no source
};
[[nodiscard]] std::string_view to_text(Basis basis);

/// The brightest and the faintest part of a subject; the same but for a corona over a range of heights.
struct BrightnessRange {
  Brightness brightest;
  Brightness faintest;
  Basis basis = Basis::table_row;

  /// What one exposure for the whole subject is made for.
  [[nodiscard]] Brightness middle() const { return {(brightest.q + faintest.q) / 2}; }
};

/// `density` is that of the solar filter in front of the lens (0: none) and counts for the photosphere only:
/// everything else is taken without. Empty for a landscape, which nothing published covers.
[[nodiscard]] std::optional<BrightnessRange> brightness_of(const Subject& subject, double density);

/// The formula of the table with exact values.
[[nodiscard]] Seconds ideal_seconds(Brightness brightness, FNumber aperture, Iso iso);

}  // namespace noonfall::exposure
