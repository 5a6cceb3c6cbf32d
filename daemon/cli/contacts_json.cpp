#include <cmath>

#include <nlohmann/json.hpp>

#include "daemon/cli/contacts_output.h"
#include "daemon/cli/on_path_text.h"
#include "lib/contacts/shadow.h"
#include "lib/contacts/sky_track.h"
#include "lib/json/json.h"

namespace noonfall::cli {
namespace {

using contacts::Contact;
using contacts::Kind;
using nlohmann::ordered_json;

/// Digits beyond what the method can give are noise in a diff: all of these round.
double degrees_of(Degrees angle) {
  return std::round(angle.value * 1e4) / 1e4;
}

double seconds_of(Duration span) {
  return std::round(in_seconds(span) * 1e3) / 1e3;
}

double fraction(double value) {
  return std::round(value * 1e6) / 1e6;
}

double metres_of(Metres length) {
  return std::round(length.value * 100) / 100;
}

ordered_json correction_of(const limb::Correction& correction) {
  return correction ? ordered_json(seconds_of(*correction)) : ordered_json(nullptr);
}

ordered_json geoid_of(const load::PlacedSite& place) {
  return place.geoid ? ordered_json(metres_of(*place.geoid)) : ordered_json(nullptr);
}

ordered_json to_json(const ContactsAnswer& answer, contacts::ContactName name) {
  const auto& contact = answer.circumstances().at(name);
  if (!contact) return nullptr;
  auto parts = ordered_json::array();
  for (const auto& part : contact->parts) {
    parts.push_back({{"reason", part.reason}, {"half_width_s", seconds_of(part.half_width)}});
  }
  ordered_json out{{"utc", to_text(contact->utc)},
                   {"sun_altitude_deg", degrees_of(contact->altitude)},
                   {"sun_altitude_apparent_deg", degrees_of(contact->apparent_altitude)},
                   {"sun_azimuth_deg", degrees_of(contact->azimuth)},
                   {"position_angle_deg", degrees_of(contact->position_angle)},
                   {"vertex_angle_deg", degrees_of(contact->vertex_angle)},
                   {"uncertainty_s", seconds_of(contact->uncertainty)},
                   {"uncertainty_parts", std::move(parts)}};
  if (name == contacts::ContactName::c2) out["limb_correction_s"] = correction_of(answer.limb.c2_correction);
  if (name == contacts::ContactName::c3) out["limb_correction_s"] = correction_of(answer.limb.c3_correction);
  return out;
}

ordered_json to_json(const std::vector<limb::Bead>& beads, const std::optional<Contact>& contact) {
  auto out = ordered_json::array();
  for (const auto& bead : beads) {
    out.push_back({{"position_angle_deg", degrees_of(bead.position_angle)},
                   {"utc", to_text(contact->utc + bead.after_contact)},
                   {"after_contact_s", seconds_of(bead.after_contact)},
                   {"life_s", bead.life ? ordered_json(seconds_of(*bead.life)) : ordered_json(nullptr)}});
  }
  return out;
}

ordered_json unless_none(Kind kind, double value) {
  return kind == Kind::none ? ordered_json(nullptr) : ordered_json(value);
}

ordered_json unless_none(const std::optional<Utc>& at) {
  return at ? ordered_json(to_text(*at)) : ordered_json(nullptr);
}

ordered_json path_of(const ContactsAnswer& answer) {
  if (!answer.path) return nullptr;
  return on_path_json(*answer.path);
}

}  // namespace

std::string contacts_json(const ContactsAnswer& answer) {
  const auto& found = answer.circumstances();
  ordered_json contacts_by_name;
  for (const auto name : contacts::all_contacts)
    contacts_by_name[std::string{to_text(name)}] = to_json(answer, name);
  ordered_json whole{
      {"eclipse", to_text(found.eclipse)},
      {"kind", contacts::to_text(found.kind)},
      {"magnitude", unless_none(found.kind, fraction(found.magnitude))},
      {"obscuration", unless_none(found.kind, fraction(found.obscuration))},
      {"totality_s", unless_none(found.kind, seconds_of(found.totality()))},
      {"dut1_s", seconds_of(found.dut1)},
      {"delta_t_s", seconds_of(found.delta_t)},
      {"site",
       {{"latitude_deg", found.site.latitude.value},
        {"longitude_deg", found.site.longitude.value},
        {"height_m", answer.place.as_given.value},
        {"height_is_ellipsoidal", answer.place.datum == load::HeightDatum::ellipsoid},
        {"geoid_m", geoid_of(answer.place)},
        {"ellipsoidal_height_m", metres_of(found.site.height)}}},
      {"limb", contacts::to_text(answer.settings.limb)},
      {"limb_data", answer.limb_file.empty() ? ordered_json(nullptr) : ordered_json(answer.limb_file)},
      {"elements", answer.elements.source},
      {"time_scale", answer.elements.delta_t ? "UT of the elements" : "UTC"},
      {"solar_radius_arcsec", answer.settings.solar_radius.value},
      {"refraction", answer.settings.refraction == contacts::Refraction::applied},
      {"k1", answer.elements.k1},
      {"k2", answer.elements.k2},
      {"sunrise_utc", unless_none(contacts::rise_and_set(found).rises)},
      {"sunset_utc", unless_none(contacts::rise_and_set(found).sets)},
      {"contacts", std::move(contacts_by_name)},
      {"path", path_of(answer)}};
  if (answer.beads) {
    whole["beads"] = {{"C2", to_json(answer.beads->c2, found.at(contacts::ContactName::c2))},
                      {"C3", to_json(answer.beads->c3, found.at(contacts::ContactName::c3))}};
  }
  return json::to_indented(whole);
}

}  // namespace noonfall::cli
