// What `noonfall path` prints: the centre line and the limits as CSV or GeoJSON.
#pragma once

#include <string>

#include "lib/contacts/path.h"
#include "lib/contacts/settings.h"

namespace noonfall::cli {

/// A path and everything it rests on.
struct PathAnswer {
  const contacts::Elements& elements;
  const contacts::Settings& settings;
  contacts::Shadow shadow;
};

/// A header, then a line for each whole `step` of UTC and for each line's first and last instant:
/// utc,north_latitude,north_longitude,centre_latitude,centre_longitude,south_latitude,south_longitude,kind,
/// duration_s,width_km,sun_altitude_deg; the last four on the centre line. Empty where a line isn't on the
/// Earth then.
[[nodiscard]] std::string path_csv(const PathAnswer& answer, Duration step);

/// A FeatureCollection as RFC 7946 has it: longitude before latitude on WGS84, lines that cross the
/// antimeridian cut in two there.
[[nodiscard]] std::string path_geojson(const PathAnswer& answer);

}  // namespace noonfall::cli
