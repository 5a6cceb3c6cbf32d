// Where the Sun stands and which way the Moon lies from it, at one instant of an eclipse.
#pragma once

#include "lib/contacts/shadow.h"

namespace noonfall::contacts {

/// Position and vertex angles run from 0 to 360 through east; the vertical is the geodetic one.
struct SunAngles {
  Degrees altitude;        // of the centre, no refraction
  Degrees azimuth;         // from north through east, 0 to 360
  Degrees position_angle;  // of the Moon's centre from celestial north
  Degrees vertex_angle;    // … from the zenith
};

[[nodiscard]] SunAngles sun_angles(const Shadow& shadow, double t, const Observer& observer);

/// Altitude lifted by refraction at 1010 hPa and 10 °C (Saemundsson 1986, Sky and Telescope 72, 70). Below
/// -1 degree nothing is added: the Sun is down.
[[nodiscard]] Degrees refracted(Degrees altitude);

/// 0 to 360.
[[nodiscard]] Degrees in_circle(Degrees angle);

}  // namespace noonfall::contacts
