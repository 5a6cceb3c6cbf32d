#include "lib/contacts/settings.h"

namespace noonfall::contacts {

Settings settings_for(const LeapSeconds& leap_seconds, std::optional<Duration> dut1, HeightDatum datum) {
  constexpr double bulletin_error_s = 0.02;
  constexpr Metres usual_geoid{60};  // height of the geoid over the ellipsoid, from -106 m to 85 m worldwide
  Settings settings;
  settings.leap_seconds = leap_seconds;
  if (dut1) {
    settings.dut1 = *dut1;
    settings.dut1_error = from_seconds(bulletin_error_s);
  }
  if (datum == HeightDatum::sea_level) settings.geoid_error = usual_geoid;
  return settings;
}

}  // namespace noonfall::contacts
