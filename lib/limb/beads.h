// Beads of sunlight in the valleys of the Moon's edge: where and when they show by themselves.
#pragma once

#include <optional>
#include <vector>

#include "lib/limb/limb_contacts.h"

namespace noonfall::limb {

/// A piece of photosphere that stands apart from the rest for a quarter of a second or more. Geometry alone:
/// how long it shows in a picture depends on the exposure.
struct Bead {
  std::size_t n;             // of the Moon's edge, edge_angle()
  Degrees position_angle;    // on the Sun's edge
  Duration after_contact{};  // at C2 of a total eclipse when it goes out, at C3 when it lights up; a ring's
                             // beads light up before C2 and go out after C3
  std::optional<Duration> life;  // as a bead apart; empty for one that has no neighbour to part from
};

inline constexpr Duration bead_reach = from_seconds(10);

/// Within bead_reach of C2 or C3, by position angle; none where there is no such contact.
[[nodiscard]] std::vector<Bead> beads(const LimbContacts& found, contacts::ContactName contact);

/// How far from their contact the `most` nearest to it go out or light up; zero for none.
[[nodiscard]] Duration reach_of(const std::vector<Bead>& beads, std::size_t most);

}  // namespace noonfall::limb
