#include "lib/timeline/filtered_sun.h"

#include <cmath>

#include "lib/contacts/sky_track.h"

namespace noonfall::timeline {
std::optional<look::Sight> sight_of(const FilteredLight& light, const contacts::Circumstances& sky,
                                    const exposure::Exposure& exposure, Utc at, const look::SunSeen& seen) {
  const auto sun = contacts::sun_at(sky, at);
  const auto aperture = exposure.aperture ? exposure.aperture : light.aperture;
  if (!sun || !aperture) return std::nullopt;
  const auto discs = contacts::discs_at(sky, at);
  const exposure::Crescent crescent{discs.moon_radius, discs.centre_distance};
  const double q = light.sun.q -
                   exposure::low_sun_stops(sun->apparent_altitude, light.magnitudes_per_airmass).value -
                   exposure::crescent_stops(crescent).value;
  const double wanted_s = exposure::ideal_seconds({q}, *aperture, exposure.iso).value;
  const double airmass =
      exposure::airmass(sun->apparent_altitude) - exposure::airmass(exposure::tried_out_at);
  return look::Sight{.at = at,
                     .seen = seen,
                     .exposed = {std::log2(exposure::exact_seconds(exposure.shutter) / wanted_s)},
                     .airmass = std::max(0.0, airmass),
                     .light_left = exposure::light_left(crescent)};
}

}  // namespace noonfall::timeline
