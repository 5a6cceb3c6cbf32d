// When each part of an eclipse is shot on one rig, as distances from its contacts.
#pragma once

#include <optional>

#include "lib/contacts/contact.h"
#include "lib/contacts/sky_track.h"
#include "lib/draft/draft.h"

namespace noonfall::draft {

/// From C2, and turned around from C3.
struct Stretch {
  Duration from{};
  Duration until{};
};

/// The totality of one rig. What there is no time for is absent.
struct Totality {
  Duration window{};  // the filter comes off that long before C2, and is on again that long after C3
  std::optional<Stretch> diamond;
  std::optional<Stretch> beads;
  std::optional<Stretch> chromosphere;
  std::optional<Stretch> prominences;
  Stretch corona;  // `until` counts from C2 too: to MID where there is earthshine, else to C3
  std::optional<Duration> earthshine;  // as long before and after MID
};

/// Of the rig that is the `place`th of those with a filter, whose filters one person handles one after the
/// other. Empty where totality isn't certain, or too short to take the filter off.
[[nodiscard]] std::optional<Totality> totality_for(const Gear& gear, const contacts::Circumstances& sky,
                                                   std::size_t place,
                                                   std::optional<Duration> beads_last = {});

/// From one step's last shutter to the next one's first: whatever has to be set, and a little more.
[[nodiscard]] Duration change_time(const body::Profile& profile);

/// How long the body's burst keeps its full speed from an empty buffer; empty without a burst.
[[nodiscard]] std::optional<Duration> full_speed_for(const body::Profile& profile, body::Files files,
                                                     exposure::Shutter shutter);

}  // namespace noonfall::draft
