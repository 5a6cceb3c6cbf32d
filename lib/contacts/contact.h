// The result everything else is timed by: when the contacts happen at a site, where the Sun stands then, how
// sure it is.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lib/base/units.h"
#include "lib/time/utc.h"
#include "lib/time/utc_text.h"

namespace noonfall::contacts {

enum class ContactName { c1, c2, mid, c3, c4 };
inline constexpr std::array<ContactName, 5> all_contacts{ContactName::c1, ContactName::c2, ContactName::mid,
                                                         ContactName::c3, ContactName::c4};

/// "C1", "C2", "MID", "C3", "C4".
[[nodiscard]] std::string_view to_text(ContactName name);
/// The reverse; empty for any other text.
[[nodiscard]] std::optional<ContactName> parse_contact_name(std::string_view text);

/// What the eclipse is at one site, by geometry alone, whatever the Sun's altitude.
enum class Kind { none, partial, annular, total };
[[nodiscard]] std::string_view to_text(Kind kind);

/// A place above the WGS84 ellipsoid.
struct Site {
  Degrees latitude;   // geodetic, north positive, -90 to 90
  Degrees longitude;  // east positive, -180 to 180
  Metres height;      // above the ellipsoid
  bool operator==(const Site&) const = default;
};

/// One named part of an uncertainty, as a 95 % half-width.
struct UncertaintyPart {
  std::string reason;  // "lunar limb not applied", "UT1-UTC", …
  Duration half_width{};
  bool operator==(const UncertaintyPart&) const = default;
};

struct Contact {
  Utc utc;
  Degrees altitude;           // of the Sun's centre, no refraction
  Degrees apparent_altitude;  // with standard refraction
  Degrees azimuth;            // from north through east
  Degrees position_angle;     // on the Sun's limb from celestial north through east: C1, C4, MID towards the
                              // Moon's centre; C2, C3 the point of internal tangency
  Degrees vertex_angle;       // the same from the zenith
  Duration uncertainty{};     // 95 % half-width, the root-sum of `parts`
  std::vector<UncertaintyPart> parts;
  bool operator==(const Contact&) const = default;
};

/// Local circumstances of one eclipse at one site. Contacts that don't happen are empty; kind none has no
/// contacts.
struct Circumstances {
  Date eclipse{};  // UTC date of greatest eclipse, as in the element table
  Site site;
  Kind kind = Kind::none;
  double magnitude = 0;  // partial: covered fraction of the diameter at MID; central: ratio of the diameters
  double obscuration = 0;                          // covered fraction of the disc's area at MID
  Duration dut1{};                                 // UT1 - UTC used
  Duration delta_t{};                              // TT - UT1 used
  std::array<std::optional<Contact>, 5> contacts;  // by ContactName
  bool operator==(const Circumstances&) const = default;

  [[nodiscard]] const std::optional<Contact>& at(ContactName name) const {
    return contacts[static_cast<std::size_t>(name)];
  }
  /// C3 - C2 where the eclipse is total, else zero.
  [[nodiscard]] Duration totality() const {
    if (kind != Kind::total) return {};
    return at(ContactName::c3)->utc - at(ContactName::c2)->utc;
  }
};

}  // namespace noonfall::contacts
