#include "lib/limb/limb_contacts.h"

#include <algorithm>
#include <cmath>

#include "lib/contacts/angles.h"

namespace noonfall::limb {
namespace {

using contacts::ContactHours;
using contacts::ContactName;
using contacts::Kind;

constexpr double arcsec = 180 * 3600 / pi;
constexpr double seconds_an_hour = 3600;
// No mountain or valley of the Moon's edge is 4.5" from the mean; half of that again for what k2 is off.
constexpr double farthest_relief_arcsec = 6.5;

struct Case {
  const Strip& strip;
  const contacts::Elements& elements;
  const contacts::Site& site;
  const contacts::Settings& settings;
  const Scene& scene;
  const ContactHours& mean;
};

bool is_central(Kind kind) {
  return kind == Kind::total || kind == Kind::annular;
}

Search search_for(const ContactHours& mean) {
  constexpr double usual_s = 300;
  constexpr double beyond_s = 120;
  const double half_s = (mean[ContactName::c3] - mean[ContactName::c2]) / 2 * seconds_an_hour + beyond_s;
  const double reach = std::max(usual_s, half_s) / seconds_an_hour;
  return {mean.deepest - reach, mean.deepest + reach, 2 / seconds_an_hour, 0.5};
}

struct Central {
  Kind kind = Kind::partial;
  std::vector<Spell> spells;
};

Central find_central(const Edges& edges, const Search& search) {
  auto dark = spells_below_zero([&](double t) { return edges.highest_gap(t).gap; }, search);
  if (!dark.empty()) return {Kind::total, std::move(dark)};
  auto ring = spells_below_zero([&](double t) { return -edges.lowest_gap(t).gap; }, search);
  if (!ring.empty()) return {Kind::annular, std::move(ring)};
  return {};
}

Spell longest_of(const std::vector<Spell>& spells) {
  return *std::max_element(spells.begin(), spells.end(), [](const Spell& a, const Spell& b) {
    return a.until - a.from < b.until - b.from;
  });
}

void set(ContactHours& hours, ContactName name, double t) {
  hours.at[static_cast<std::size_t>(name)] = t;
}

/// Magnitude and obscuration follow the kind: the ratio of the discs, or what of the Sun is covered at most.
void cover(const Case& of, ContactHours& hours) {
  const auto at = discs(of.scene.shadow, of.scene.observer, of.scene.solar_radius, of.mean.deepest);
  const double moon = at.mean_moon_radius(of.elements.k2);
  if (is_central(hours.kind)) {
    hours.magnitude = moon / at.sun_radius;
    hours.obscuration = hours.kind == Kind::total ? 1 : std::min(1.0, hours.magnitude * hours.magnitude);
    return;
  }
  hours.magnitude = std::min(1.0, (at.sun_radius + moon - at.offset) / (2 * at.sun_radius));
  hours.obscuration = contacts::covered_area(at.sun_radius, moon, at.offset);
}

ContactHours corrected(const Case& of, const Central& central) {
  auto hours = of.mean;
  hours.kind = central.kind;
  if (hours.kind != of.mean.kind) cover(of, hours);
  if (is_central(hours.kind)) {
    const auto spell = longest_of(central.spells);
    set(hours, ContactName::c2, spell.from);
    set(hours, ContactName::c3, spell.until);
    set(hours, ContactName::mid, (spell.from + spell.until) / 2);
    hours.deepest = std::clamp(hours.deepest, spell.from, spell.until);
  } else {
    set(hours, ContactName::mid, hours.deepest);
  }
  return hours;
}

/// The contact is where the last bead goes out or the first one lights up, not opposite the Moon's centre.
void point_at_bead(const Edges& edges, Kind kind, double t, contacts::Contact& contact) {
  const auto n = (kind == Kind::total ? edges.highest_gap(t) : edges.lowest_gap(t)).n;
  const double zenith = contact.position_angle.value - contact.vertex_angle.value;
  contact.position_angle = edges.angle_on_sun(n, t);
  contact.vertex_angle = contacts::in_circle({contact.position_angle.value - zenith});
}

Correction correction(const ContactHours& mean, const ContactHours& hours, ContactName name) {
  if (mean.kind != hours.kind || !is_central(mean.kind)) return std::nullopt;
  return from_seconds((hours[name] - mean[name]) * seconds_an_hour);
}

LimbContacts with_edges(const Case& of) {
  const bool smooth = is_central(of.mean.kind);
  const double early = smooth ? of.mean[ContactName::c2] : of.mean.deepest;
  const double late = smooth ? of.mean[ContactName::c3] : of.mean.deepest;
  LimbContacts out;
  auto edges = std::make_shared<Edges>(of.strip, of.scene, early, late);
  auto central = find_central(*edges, search_for(of.mean));
  const auto hours = corrected(of, central);
  out.circumstances = contacts::circumstances(of.elements, of.site, of.settings, hours);
  out.edges = edges;
  if (central.spells.empty()) return out;
  out.longest = longest_of(central.spells);
  out.spells = std::move(central.spells);
  for (const auto name : {ContactName::c2, ContactName::c3}) {
    auto& contact = out.circumstances.contacts[static_cast<std::size_t>(name)];
    point_at_bead(*edges, hours.kind, hours[name], *contact);
  }
  out.c2_correction = correction(of.mean, hours, ContactName::c2);
  out.c3_correction = correction(of.mean, hours, ContactName::c3);
  return out;
}

}  // namespace

bool edge_decides(const Scene& scene, const ContactHours& mean) {
  if (mean.kind == Kind::none) return false;
  const auto at = discs(scene.shadow, scene.observer, scene.solar_radius, mean.deepest);
  const double miss = at.offset - std::abs(at.sun_radius - at.mean_moon_radius(scene.elements.k2));
  return miss * arcsec < farthest_relief_arcsec;
}

LimbContacts limb_contacts(const Strip& strip, const contacts::Elements& elements, const contacts::Site& site,
                           contacts::Settings settings) {
  settings.limb = contacts::Limb::profile;
  settings.limb_px_per_deg = 1 / std::max(strip.phi_step_deg, strip.c_step_deg);
  const contacts::Shadow shadow{elements, delta_t_for(elements, settings), settings.solar_radius};
  const contacts::Observer observer{site};
  const auto mean = solve(shadow, observer);
  const Scene scene{elements, shadow, observer, settings.solar_radius};
  const Case of{strip, elements, site, settings, scene, mean};
  if (edge_decides(scene, mean)) return with_edges(of);
  LimbContacts out;
  out.circumstances = contacts::circumstances(elements, site, settings, mean);
  return out;
}

LimbBatch::LimbBatch(const Strip& strip, const contacts::Elements& elements,
                     const contacts::Settings& settings)
    : strip_(&strip),
      elements_(elements),
      settings_(settings),
      shadow_(elements, delta_t_for(elements, settings), settings.solar_radius),
      batch_(elements, settings) {}

contacts::BriefCircumstances LimbBatch::operator()(const contacts::Site& site) const {
  const contacts::Observer observer{site};
  const Scene scene{elements_, shadow_, observer, settings_.solar_radius};
  if (!edge_decides(scene, solve(shadow_, observer))) return batch_(site);
  const auto found = limb_contacts(*strip_, elements_, site, settings_).circumstances;
  contacts::BriefCircumstances brief{
      .kind = found.kind, .magnitude = found.magnitude, .obscuration = found.obscuration};
  for (std::size_t n = 0; n < found.contacts.size(); ++n) {
    if (found.contacts[n]) brief.utc[n] = found.contacts[n]->utc;
  }
  return brief;
}

}  // namespace noonfall::limb
