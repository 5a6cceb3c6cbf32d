// What a body is set to, and what it takes to set it otherwise.
#pragma once

#include <string>
#include <variant>
#include <vector>

#include "lib/body/profile.h"
#include "lib/exposure/exposure.h"
#include "lib/time/utc.h"

namespace noonfall::sim {

enum class Setting { shutter, aperture, iso, drive };
/// One value of one setting, by the order of Setting.
using SettingValue = std::variant<exposure::Shutter, exposure::FNumber, exposure::Iso, body::Drive>;

/// "1/2000", "f/8", "ISO 400", "continuous drive".
[[nodiscard]] std::string to_text(const SettingValue& value);

struct Settings {
  exposure::Exposure exposure;
  body::Drive drive = body::Drive::single;
  bool operator==(const Settings&) const = default;

  [[nodiscard]] Settings with(const SettingValue& value) const;
};

/// The first of each choice, no aperture set, single drive.
[[nodiscard]] Settings powered_on(const body::Profile& profile);

/// What has to be sent to get from one to the other, in the order sent. An aperture is nothing to a body that
/// can't set one.
[[nodiscard]] std::vector<SettingValue> changes(const body::Profile& profile, const Settings& present,
                                                const Settings& wanted);

[[nodiscard]] bool offers(const body::Profile& profile, const SettingValue& value);

[[nodiscard]] Duration time_between(const body::Profile& profile, const Settings& present,
                                    const Settings& wanted);

}  // namespace noonfall::sim
