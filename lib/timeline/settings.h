// Which values a plan's words leave open on one body, for one rig, step and set.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lib/base/diagnostic.h"
#include "lib/body/profile.h"
#include "lib/exposure/exposure.h"
#include "lib/plan/plan.h"

namespace noonfall::timeline {

/// What `over` says, and where it is silent what `under` says.
[[nodiscard]] plan::ExposureChoice overlay(const plan::ExposureChoice& under,
                                           const plan::ExposureChoice& over);

/// Whose exposure is looked for, for the messages.
struct Whose {
  const std::string& step;
  const std::string& rig;
  Mark mark;
};

/// What the body may be set to: at least one value each.
struct OpenSettings {
  std::vector<exposure::Shutter> shutters;   // all of the body's when the plan names none
  std::vector<exposure::FNumber> apertures;  // empty: neither the body nor the plan knows one
  std::vector<exposure::Iso> isos;
};

/// Values are taken from the body's choices, the nearest where the very one isn't offered: more than 1/6 stop
/// away is a warning, more than a stop an error. An ISO must be named, and an f-number where the body can set
/// one. Where it can't, the plan's f-number stands for the lens's own. Empty after an error.
[[nodiscard]] std::optional<OpenSettings> open_settings(const body::Profile& profile,
                                                        const plan::ExposureChoice& choice,
                                                        const Whose& whose, Diagnostics& findings);

/// The body's choice for each of the shutter times; the same warnings and errors.
[[nodiscard]] std::optional<std::vector<exposure::Shutter>> on_body(
    const body::Profile& profile, const std::vector<exposure::Shutter>& wanted, const Whose& whose,
    Diagnostics& findings);

/// Whether what was found is near enough to what was wanted, by the same two limits; a finding where it isn't
/// quite.
[[nodiscard]] bool is_near(double off_stops, const std::string& wanted, const std::string& found,
                           const Whose& whose, Diagnostics& findings);
/// The same for the frame of a bracket that is furthest off.
[[nodiscard]] bool bracket_is_near(double off_stops, const Whose& whose, Diagnostics& findings);

}  // namespace noonfall::timeline
