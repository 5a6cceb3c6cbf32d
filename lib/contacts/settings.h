// What a computation of contacts takes for granted: the Earth's turning, the Sun's radius, how sure the
// inputs are.
#pragma once

#include <optional>
#include <string_view>

#include "lib/base/sun.h"
#include "lib/base/units.h"
#include "lib/time/time_scales.h"

namespace noonfall::contacts {

/// Which edge of the Moon C2 and C3 are computed with: a circle of radius k2, or the mountains and valleys
/// seen from the site.
enum class Limb { mean, profile };
[[nodiscard]] std::string_view to_text(Limb limb);

/// Whether contact times have the bend of light near the horizon in them. Published tables don't.
enum class Refraction { ignored, applied };

inline constexpr Metres usual_position_error{30};  // a handheld receiver (common practice, no source)
inline constexpr Metres usual_height_error{50};
/// Where a height above sea level stands for one above the ellipsoid: EGM96's geoid is 31 m from it (rms
/// over its grid), -107 to 85 m.
inline constexpr Metres unknown_geoid_error{60};

/// Every error is a 95 % half-width.
struct Settings {
  LeapSeconds leap_seconds = built_in_leap_seconds();
  Duration dut1{};                          // UT1 − UTC; ignored where the elements bring their own Delta T
  Duration dut1_error = from_seconds(0.3);  // unknown years ahead
  Duration leap_second_error{};             // of UTC, where leap seconds may come by then
  Arcseconds solar_radius = auwers_solar_radius;  // at 1 au
  Limb limb = Limb::mean;
  double limb_px_per_deg = 16;                     // how fine the heights behind a profile are
  std::optional<Arcseconds> solar_radius_error{};  // empty: what is usual for the limb
  Metres position_error = usual_position_error;    // horizontally, in any direction
  Metres height_error = usual_height_error;
  Metres geoid_error{0};
  Refraction refraction = Refraction::ignored;
};

/// The usual settings for an eclipse about `when`: UT1 as a bulletin gave it, else as expected_rotation() has
/// it.
[[nodiscard]] Settings settings_for(const LeapSeconds& leap_seconds, Utc when, std::optional<Duration> dut1);

}  // namespace noonfall::contacts
