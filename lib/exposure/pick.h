// One setting for a subject out of the limits a plan leaves open.
#pragma once

#include <optional>
#include <span>

#include "lib/base/units.h"
#include "lib/exposure/brightness.h"
#include "lib/exposure/exposure.h"

namespace noonfall::exposure {

/// What was picked, and how much more (+) or less (-) light that is than ideal; the caller judges it.
struct Pick {
  Exposure exposure;
  Stops off;
  bool operator==(const Pick&) const = default;
};

/// The rule: settings within 1/6 stop of the ideal light count as right; if there are none, those as near to
/// it as any get. Of these the shortest shutter is taken, then the lowest ISO, then the widest aperture.
/// Empty when a list is. (`within` of scale.h cuts a body's choices to limits.)
[[nodiscard]] std::optional<Pick> pick_exposure(Brightness brightness, std::span<const Shutter> shutters,
                                                std::span<const FNumber> apertures,
                                                std::span<const Iso> isos);

}  // namespace noonfall::exposure
