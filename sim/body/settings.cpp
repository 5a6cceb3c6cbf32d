#include "sim/body/settings.h"

#include <algorithm>

#include "lib/base/match.h"
#include "lib/body/model.h"

namespace noonfall::sim {

using body::Drive;

std::string to_text(const SettingValue& value) {
  return std::visit(Match{[](const auto& of_exposure) { return exposure::to_text(of_exposure); },
                          [](Drive drive) -> std::string {
                            if (drive == Drive::bracket) return "bracket of its own";
                            return drive == Drive::single ? "single drive" : "continuous drive";
                          }},
                    value);
}

Settings Settings::with(const SettingValue& value) const {
  auto settings = *this;
  std::visit(Match{[&](exposure::Shutter shutter) { settings.exposure.shutter = shutter; },
                   [&](exposure::FNumber aperture) { settings.exposure.aperture = aperture; },
                   [&](exposure::Iso iso) { settings.exposure.iso = iso; },
                   [&](Drive wanted) { settings.drive = wanted; }},
             value);
  return settings;
}

Settings powered_on(const body::Profile& profile) {
  const auto& choices = profile.choices;
  Settings settings;
  if (!choices.shutters.empty()) settings.exposure.shutter = choices.shutters.front();
  if (!choices.isos.empty()) settings.exposure.iso = choices.isos.front();
  return settings;
}

std::vector<SettingValue> changes(const body::Profile& profile, const Settings& present,
                                  const Settings& wanted) {
  const auto& before = present.exposure;
  const auto& [shutter, aperture, iso] = wanted.exposure;
  const bool sets_aperture = aperture && !profile.choices.apertures.empty();
  std::vector<SettingValue> values;
  if (shutter != before.shutter) values.emplace_back(shutter);
  if (sets_aperture && aperture != before.aperture) values.emplace_back(*aperture);
  if (iso != before.iso) values.emplace_back(iso);
  if (wanted.drive != present.drive) values.emplace_back(wanted.drive);
  return values;
}

bool offers(const body::Profile& profile, const SettingValue& value) {
  const auto in = [](const auto& list, const auto& wanted) { return std::ranges::count(list, wanted) > 0; };
  const auto& choices = profile.choices;
  return std::visit(Match{[&](exposure::Shutter shutter) { return in(choices.shutters, shutter); },
                          [&](exposure::FNumber aperture) { return in(choices.apertures, aperture); },
                          [&](exposure::Iso iso) { return in(choices.isos, iso); },
                          [&](Drive drive) {
                            if (drive == Drive::bracket) return profile.brackets.has_value();
                            return drive == Drive::single || !profile.continuous.empty();
                          }},
                    value);
}

Duration time_between(const body::Profile& profile, const Settings& present, const Settings& wanted) {
  return body::setting_time(profile, &present.exposure, wanted.exposure) +
         body::drive_change_time(profile, present.drive, wanted.drive);
}

}  // namespace noonfall::sim
