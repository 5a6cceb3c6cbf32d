// What follows from one rig's gear alone: ISO limits, exposures within the body's reach, how long the Sun
// stays.
#pragma once

#include <optional>

#include "lib/draft/phases.h"

namespace noonfall::draft {

[[nodiscard]] const body::Profile& profile_of(const Gear& gear);

/// How long the Sun takes through the frame's shorter side, less its own diameter. Empty where the mount
/// follows it, or the sensor isn't known.
[[nodiscard]] std::optional<Duration> crossing_time(const Gear& gear);

/// From one set of the partial phase to the next: 5 min, or on a fixed mount what leaves time to aim in
/// between.
[[nodiscard]] Duration period_of_sets(const Gear& gear);

/// From the body's base ISO, else its lowest, up; noonfall raises it only where a shutter would be too slow.
[[nodiscard]] plan::Limits<exposure::Iso> iso_limits(const Gear& gear);

/// What the step names beside the rig: nothing, or what keeps its shortest frame within the body's reach.
[[nodiscard]] plan::ExposureChoice exposure_for(const Gear& gear, const exposure::Subject& subject,
                                                Stops to_shortest);

/// The lowest ISO with which a frame takes at most 4 s.
[[nodiscard]] plan::ExposureChoice earthshine_exposure(const Gear& gear);

/// Sets of three of the filtered Sun.
[[nodiscard]] plan::Step filtered(const Gear& gear, const plan::Instant& begins, const plan::Instant& ends,
                                  Duration period);

/// Sets back to back without the filter: `frames` of them, `by` stops apart.
[[nodiscard]] plan::Step unfiltered(const Gear& gear, exposure::SubjectKind kind, const Stretch& stretch,
                                    int frames, double by);

}  // namespace noonfall::draft
