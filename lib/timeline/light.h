// How much light the sky leaves a frame, and how long its shutter may be open at most to stay sharp.
#pragma once

#include "lib/exposure/subject.h"
#include "lib/timeline/given.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

/// Darker than the exposure table has it: than with a whole Sun 60 degrees high, of a landscape than by day.
struct LightLoss {
  Stops lost;           // in whole thirds of a stop
  bool by_air = false;  // a third of a stop or more of it is the air's, the Sun being low
  bool operator==(const LightLoss&) const = default;
};

/// Nothing is lost under `sky: none`.
[[nodiscard]] LightLoss light_at(const Given& given, const exposure::Subject& subject, Utc at);

/// Of a rig that sees the Sun through a filter; whatever the plan says of the sky's part in its exposures.
[[nodiscard]] std::optional<FilteredLight> filtered_light(const plan::Plan& plan, const plan::Rig& rig);

/// Of the rig's pixels, where its sensor is known.
[[nodiscard]] std::optional<Micrometres> pixel_of(const plan::Rig& rig);

/// Below this, findings are laid to the low Sun.
inline constexpr Degrees low_sun{10};
[[nodiscard]] bool is_sun_low(const Given& given, Utc at);

/// The shorter of what the shimmer of the filtered Sun's edge and a fixed mount allow: 1/500 s (common
/// practice, no source), and a trail of one pixel or, without a sensor, 340 s / f in mm. No limit: infinity.
[[nodiscard]] Seconds longest_sharp(const Given& given, const plan::Rig& rig,
                                    const exposure::Subject& subject);
/// The mount's part of it.
[[nodiscard]] Seconds longest_on_mount(const Given& given, const plan::Rig& rig,
                                       const exposure::Subject& subject);

}  // namespace noonfall::timeline
