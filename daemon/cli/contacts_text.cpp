#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "daemon/cli/contacts_explain.h"
#include "daemon/cli/contacts_output.h"
#include "daemon/cli/length_text.h"
#include "daemon/cli/on_path_text.h"
#include "lib/contacts/shadow.h"
#include "lib/contacts/sky_track.h"

namespace noonfall::cli {
namespace {

using contacts::Circumstances;
using contacts::Contact;
using contacts::ContactName;
using contacts::Kind;

std::string side(Degrees angle, char positive, char negative) {
  return fmt::format("{:.4f} {}", std::abs(angle.value), angle.value < 0 ? negative : positive);
}

std::string meaning(Kind kind, ContactName name) {
  switch (name) {
    case ContactName::c1:
      return "first bite";
    case ContactName::c2:
      return kind == Kind::total ? "totality begins" : "ring closes";
    case ContactName::mid:
      return kind == Kind::partial ? "greatest" : "middle";
    case ContactName::c3:
      return kind == Kind::total ? "totality ends" : "ring breaks";
    case ContactName::c4:
      return "last bite";
  }
  return {};
}

/// Time of day, with the day's difference from the date in the title where there is one.
std::string clock_on(Utc instant, Date title) {
  using namespace std::chrono;
  const auto shown = floor<milliseconds>(instant + 50ms);  // as to_clock_text rounds
  const auto shift = (floor<days>(shown) - sys_days{title}).count();
  return to_clock_text(instant, 1) + (shift == 0 ? "   " : fmt::format(" {:+}d", shift));
}

std::string trimmed(std::string text) {
  text.erase(text.find_last_not_of(' ') + 1);
  return text;
}

std::string zone_name(const Contact& contact, const Zone* zone) {
  return zone == nullptr ? "" : zone->at(contact.utc).abbreviation;
}

/// Never "+- 0.0 s".
double shown_error_s(const Contact& contact) {
  return std::max(in_seconds(contact.uncertainty), 0.1);
}

std::string row(const Circumstances& found, ContactName name, const Zone* zone) {
  const auto& contact = *found.at(name);
  const auto local =
      zone == nullptr ? "" : fmt::format("{:<14}", clock_on(zone->wall_clock(contact.utc), found.eclipse));
  const bool up = contact.apparent_altitude.value > -0.27;  // some of the disc is above the horizon
  return fmt::format("  {:<4}{:<16}{:<14}{}{:>7.1f}{:>8.1f}{:>7.0f}{:>6.0f}   +- {:.1f} s{}\n", to_text(name),
                     meaning(found.kind, name), clock_on(contact.utc, found.eclipse), local,
                     contact.apparent_altitude.value, contact.azimuth.value, contact.position_angle.value,
                     contact.vertex_angle.value, shown_error_s(contact), up ? "" : "   Sun down");
}

/// Beneath C2 and C3: what the real edge does to the time.
std::string correction_line(const limb::Correction& correction) {
  const double seconds = in_seconds(*correction);
  if (std::abs(seconds) < 0.05) return fmt::format("  {:<4}the Moon's edge leaves it where it is\n", "");
  return fmt::format("  {:<4}{:.1f} s {} by the Moon's edge\n", "", std::abs(seconds),
                     seconds > 0 ? "later" : "earlier");
}

std::string correction_below(const ContactsAnswer& answer, ContactName name) {
  if (name == ContactName::c2 && answer.limb.c2_correction) return correction_line(answer.limb.c2_correction);
  if (name == ContactName::c3 && answer.limb.c3_correction) return correction_line(answer.limb.c3_correction);
  return {};
}

/// Near the limits of the path a bead may shine in between.
std::string interruptions(const ContactsAnswer& answer) {
  const auto& found = answer.circumstances();
  std::string text;
  for (const auto& spell : answer.limb.spells) {
    if (spell == answer.limb.longest) continue;
    const auto from = instant_at(answer.elements, answer.settings, spell.from);
    const auto until = instant_at(answer.elements, answer.settings, spell.until);
    text += fmt::format("Sunlight interrupts it: it is {} from {} to {} as well.\n",
                        contacts::to_text(found.kind), to_clock_text(from, 1), to_clock_text(until, 1));
  }
  return text;
}

std::string header(const ContactsAnswer& answer, const Zone* zone) {
  const auto& first = *answer.circumstances().at(ContactName::c1);
  const auto local =
      zone == nullptr ? "" : fmt::format("{:<14}", fmt::format("local ({})", zone_name(first, zone)));
  return fmt::format("  {:<20}{:<14}{}{:>7}{:>8}{:>7}{:>6}\n", "", answer.elements.delta_t ? "UT" : "UTC",
                     local, "Sun up", "azimuth", "P", "V");
}

/// Never 100.0 % of a Sun that isn't covered.
double percent(double part) {
  return std::min(part * 100, 99.9);
}

std::string coverage(const Circumstances& found) {
  if (found.kind == Kind::partial) {
    return fmt::format("Partial: {:.1f} % of the Sun's diameter and {:.1f} % of its area covered at most.\n",
                       percent(found.magnitude), percent(found.obscuration));
  }
  const auto length = length_text(found.at(ContactName::c3)->utc - found.at(ContactName::c2)->utc);
  const auto what = found.kind == Kind::total ? "Totality" : "The ring";
  return fmt::format("{} lasts {}. The Moon looks {:.4f} times as wide as the Sun.\n", what, length,
                     found.magnitude);
}

/// "Sunrise 05:30:15.8, sunset 19:26:41.0 UTC; …" in local time too; of a level horizon.
std::string daylight_text(const ContactsAnswer& answer, const Zone* zone) {
  const auto& found = answer.circumstances();
  const auto day = contacts::rise_and_set(found);
  if (!day.rises && !day.sets)
    return day.up_at_mid ? "The Sun is up all day.\n" : "The Sun doesn't come up.\n";
  const auto clock = [&](const char* what, const std::optional<Utc>& at) {
    if (!at) return fmt::format("no {}", what);
    const auto local =
        zone == nullptr ? ""
                        : fmt::format(" (local {})", trimmed(clock_on(zone->wall_clock(*at), found.eclipse)));
    return fmt::format("{} {}{}", what, trimmed(clock_on(*at, found.eclipse)), local);
  };
  const auto rise = clock("sunrise", day.rises);
  const auto set = clock("sunset", day.sets);
  auto text = day.up_at_mid ? rise + ", " + set : set + ", " + rise;
  text.front() = 'S';
  return text + (answer.elements.delta_t ? " UT.\n" : " UTC.\n");
}

std::string height_text(const load::PlacedSite& place) {
  if (place.datum == load::HeightDatum::ellipsoid) return "height above the WGS84 ellipsoid";
  if (!place.geoid)
    return "elevation taken as height above the ellipsoid: no EGM96 grid here (Debian package proj-data)";
  return fmt::format("elevation {:g} m is {:.1f} m above the ellipsoid (EGM96)", place.as_given.value,
                     place.site.height.value);
}

std::string edge(const ContactsAnswer& answer) {
  if (answer.settings.limb == contacts::Limb::profile)
    return fmt::format("k {:g} (C1, C4),\n  lunar limb profile from {} (C2, C3)", answer.elements.k1,
                       answer.limb_file);
  return fmt::format("mean limb of the Moon, k {:g} (C1, C4) and {:g} (C2, C3)", answer.elements.k1,
                     answer.elements.k2);
}

std::string basis(const ContactsAnswer& answer) {
  const auto& found = answer.circumstances();
  const auto earth =
      answer.elements.delta_t
          ? fmt::format("the elements' own Delta T {:.2f} s, so times are UT", in_seconds(found.delta_t))
          : fmt::format("UT1-UTC {:+.3f} s +- {:.2f} s, Delta T {:.3f} s", in_seconds(found.dut1),
                        in_seconds(answer.settings.dut1_error), in_seconds(found.delta_t));
  const bool bent = answer.settings.refraction == contacts::Refraction::applied;
  return fmt::format(
      "Computed with: elements {}, {},\n"
      "  solar radius {:.2f}\" at 1 au, refraction {};\n  {};\n  {}.\n",
      answer.elements.source, edge(answer), answer.settings.solar_radius.value,
      bent ? "in the times" : "not in the times", earth, height_text(answer.place));
}

std::string filter_note(Kind kind) {
  return kind == Kind::total ? "Camera filter on outside totality.\n"
                             : "No totality here: the camera filter stays on throughout.\n";
}

constexpr std::string_view angle_note =
    "Sun up: altitude in degrees with refraction. P, V: where on the Sun's edge, from celestial north and\n"
    "from the top, anticlockwise in degrees. Sunrise, sunset: the Sun's upper edge at a level horizon.\n";

}  // namespace

std::string contacts_text(const ContactsAnswer& answer, const Zone* zone, Detail detail) {
  const auto& found = answer.circumstances();
  const auto place = fmt::format("{}, {}, {:g} m", side(found.site.latitude, 'N', 'S'),
                                 side(found.site.longitude, 'E', 'W'), answer.place.as_given.value);
  if (found.kind == Kind::none)
    return fmt::format("No eclipse on {} at {}.\n", to_text(found.eclipse), place);
  auto text = fmt::format("{}: {} at {}\n\n", to_text(found.eclipse), contacts::to_text(found.kind), place);
  text += header(answer, zone);
  for (const auto name : contacts::all_contacts) {
    if (found.at(name)) text += row(found, name, zone) + correction_below(answer, name);
  }
  text += '\n' + coverage(found) + interruptions(answer) + filter_note(found.kind) +
          daylight_text(answer, zone) + '\n';
  const auto where = answer.path ? on_path_text(found, *answer.path) : std::string{};
  if (!where.empty()) text += where + '\n';
  if (answer.beads) text += beads_text(answer) + '\n';
  text += uncertainty_text(found, detail) + '\n' + basis(answer) + std::string{angle_note};
  return text;
}

}  // namespace noonfall::cli
