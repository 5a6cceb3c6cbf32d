// Sizes on the sensor, and how long a camera on a fixed mount may expose before the sky's turning shows.
#pragma once

#include "lib/base/sun.h"
#include "lib/base/units.h"

namespace noonfall::exposure {

inline constexpr Arcseconds sidereal_rate_per_s{15.041};  // at the celestial equator

/// The diameter of the Sun's image: 2 f tan(radius).
[[nodiscard]] Millimetres sun_image(Millimetres focal_length, Arcseconds solar_radius = auwers_solar_radius);
/// The same by the rule of the NASA bulletins, f / 109; 1.4 % smaller.
[[nodiscard]] Millimetres sun_image_by_rule(Millimetres focal_length);

/// The angle one side of the sensor sees.
[[nodiscard]] Degrees field_of_view(Millimetres side, Millimetres focal_length);

/// The exposure during which the image moves by `pixels`. Beyond 89 degrees of declination taken as at 89.
[[nodiscard]] Seconds longest_untrailed(Millimetres focal_length, Micrometres pixel, Degrees declination,
                                        double pixels = 1);
/// The film-era rule, 340 s / f in mm (from memory): it lets the image trail by 25 um.
[[nodiscard]] Seconds longest_untrailed_on_film(Millimetres focal_length);

}  // namespace noonfall::exposure
