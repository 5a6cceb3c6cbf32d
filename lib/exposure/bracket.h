// Brackets made on the shutter times a body offers.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "lib/base/units.h"
#include "lib/exposure/brightness.h"
#include "lib/exposure/exposure.h"

namespace noonfall::exposure {

/// Shutter times from short to long, and the furthest that any of them lies from the rung it stands for. Two
/// rungs that fall on one choice both stay, so that the caller sees it.
struct Ladder {
  std::vector<Shutter> shutters;
  Stops furthest_off;
  bool operator==(const Ladder&) const = default;
};

/// `frames` rungs, `by` apart, their middle at `centre` (between two rungs for an even count). Empty without
/// choices; frames >= 1, by > 0.
[[nodiscard]] Ladder centred_ladder(Shutter centre, int frames, Stops by, std::span<const Shutter> choices);

/// Rungs from the shorter of the two times, `by` apart, up to the longer one and never past it by more than
/// 1/6 stop: 1/2000 to 2 s by 2 stops is 7 rungs.
[[nodiscard]] Ladder ladder_between(Shutter one, Shutter other, Stops by, std::span<const Shutter> choices);

[[nodiscard]] std::vector<Shutter> short_first(std::vector<Shutter> shutters);
[[nodiscard]] std::vector<Shutter> long_first(std::vector<Shutter> shutters);
/// Short to long and back; the longest once.
[[nodiscard]] std::vector<Shutter> mirrored(std::vector<Shutter> shutters);

/// What was picked, and how much more (+) or less (-) light that is than ideal; the caller judges it.
struct Pick {
  Exposure exposure;
  Stops off;
  bool operator==(const Pick&) const = default;
};

/// The rule: settings within 1/6 stop of the ideal light count as right; if there are none, those as near to
/// it as any get. Of these the one with the lowest ISO is taken whose shutter isn't longer than `longest`,
/// then the shortest shutter, then the widest aperture; where all are longer, the shortest. Empty when a list
/// is. (`within` of scale.h cuts a body's choices to limits.)
[[nodiscard]] std::optional<Pick> pick_exposure(Brightness brightness, std::span<const Shutter> shutters,
                                                std::span<const FNumber> apertures, std::span<const Iso> isos,
                                                Seconds longest);

}  // namespace noonfall::exposure
