#include "lib/contacts/settings.h"

#include "lib/contacts/earth_rotation.h"

namespace noonfall::contacts {

std::string_view to_text(Limb limb) {
  return limb == Limb::profile ? "profile" : "mean";
}

Settings settings_for(const LeapSeconds& leap_seconds, Utc when, std::optional<Duration> dut1) {
  constexpr double bulletin_error_s = 0.02;
  const auto expected = expected_rotation(when, leap_seconds);
  Settings settings;
  settings.leap_seconds = leap_seconds;
  settings.dut1 = dut1.value_or(expected.dut1);
  settings.dut1_error = dut1 ? from_seconds(bulletin_error_s) : expected.error;
  // whoever has a bulletin for the day knows whether a leap second comes before it
  if (!dut1) settings.leap_second_error = expected.leap_second_error;
  return settings;
}

}  // namespace noonfall::contacts
