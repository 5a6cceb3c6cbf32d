#include "lib/contacts/circumstances.h"

#include "lib/contacts/angles.h"
#include "lib/contacts/solve.h"
#include "lib/contacts/uncertainty.h"

namespace noonfall::contacts {
namespace {

struct Case {
  const Elements& elements;
  const Site& site;
  const Settings& settings;
  const Shadow& shadow;
  const ContactHours& hours;
};

/// At C2 and C3 of a total eclipse the discs touch on the side away from the Moon's centre.
bool touches_opposite(Kind kind, ContactName name) {
  return kind == Kind::total && (name == ContactName::c2 || name == ContactName::c3);
}

Contact make_contact(const Case& of, ContactName name) {
  const double refraction_h = refraction_shift_h(of.shadow, of.site, of.hours, name);
  const bool applied = of.settings.refraction == Refraction::applied;
  const double t = of.hours[name] + (applied ? refraction_h : 0);
  const auto angles = sun_angles(of.shadow, t, Observer{of.site});
  const Degrees turn{touches_opposite(of.hours.kind, name) ? 180.0 : 0.0};
  Contact contact;
  contact.utc = instant_at(of.elements, of.settings, t);
  contact.altitude = angles.altitude;
  contact.apparent_altitude = refracted(angles.altitude);
  contact.azimuth = angles.azimuth;
  contact.position_angle = in_circle({angles.position_angle.value + turn.value});
  contact.vertex_angle = in_circle({angles.vertex_angle.value + turn.value});
  contact.parts = uncertainty_parts(of.shadow, of.site, of.hours, name, refraction_h, of.settings);
  contact.uncertainty = total(contact.parts);
  return contact;
}

}  // namespace

bool happens(Kind kind, ContactName name) {
  if (kind == Kind::none) return false;
  return kind != Kind::partial || (name != ContactName::c2 && name != ContactName::c3);
}

Duration delta_t_for(const Elements& elements, const Settings& settings) {
  if (elements.delta_t) return *elements.delta_t;
  return delta_t(to_utc(elements.t0(), settings.leap_seconds), settings.dut1, settings.leap_seconds);
}

Utc instant_at(const Elements& elements, const Settings& settings, double hours) {
  const Tt tt{elements.t0().since_1970 + from_seconds(hours * 3600)};
  return elements.delta_t ? Utc{tt.since_1970 - *elements.delta_t} : to_utc(tt, settings.leap_seconds);
}

Circumstances circumstances(const Elements& elements, const Site& site, const Settings& settings) {
  const Shadow shadow{elements, delta_t_for(elements, settings), settings.solar_radius};
  return circumstances(elements, site, settings, solve(shadow, Observer{site}));
}

Circumstances circumstances(const Elements& elements, const Site& site, const Settings& settings,
                            const ContactHours& hours) {
  Circumstances result;
  result.eclipse = elements.date;
  result.site = site;
  result.dut1 = elements.delta_t ? Duration{} : settings.dut1;
  result.delta_t = delta_t_for(elements, settings);
  const Shadow shadow{elements, result.delta_t, settings.solar_radius};
  result.kind = hours.kind;
  result.magnitude = hours.magnitude;
  result.obscuration = hours.obscuration;
  for (const auto name : all_contacts) {
    if (!happens(hours.kind, name)) continue;
    result.contacts[static_cast<std::size_t>(name)] =
        make_contact({elements, site, settings, shadow, hours}, name);
  }
  return result;
}

}  // namespace noonfall::contacts
