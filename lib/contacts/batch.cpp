#include "lib/contacts/batch.h"

#include "lib/contacts/circumstances.h"
#include "lib/contacts/solve.h"

namespace noonfall::contacts {

Batch::Batch(const Elements& elements, const Settings& settings)
    : shadow_(elements, delta_t_for(elements, settings), settings.solar_radius),
      elements_(elements),
      settings_(settings),
      t0_(instant_at(elements, settings, 0)),
      one_offset_(instant_at(elements, settings, elements_reach_h) -
                      instant_at(elements, settings, -elements_reach_h) ==
                  from_seconds(2 * elements_reach_h * 3600)) {}

BriefCircumstances Batch::operator()(const Site& site) const {
  auto hours = solve(shadow_, Observer{site});
  if (settings_.refraction == Refraction::applied) hours.at = bent(site, hours);
  BriefCircumstances brief{
      .kind = hours.kind, .magnitude = hours.magnitude, .obscuration = hours.obscuration};
  for (std::size_t n = 0; n < hours.at.size(); ++n) {
    brief.utc[n] =
        one_offset_ ? t0_ + from_seconds(hours.at[n] * 3600) : instant_at(elements_, settings_, hours.at[n]);
  }
  return brief;
}

std::array<double, 5> Batch::bent(const Site& site, const ContactHours& hours) const {
  auto at = hours.at;
  for (const auto name : all_contacts) {
    if (happens(hours.kind, name))
      at[static_cast<std::size_t>(name)] += refraction_shift_h(shadow_, site, hours, name);
  }
  return at;
}

}  // namespace noonfall::contacts
