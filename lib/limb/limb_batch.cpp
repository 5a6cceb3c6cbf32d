#include "lib/limb/limb_batch.h"

namespace noonfall::limb {

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
  contacts::BriefCircumstances brief{found.kind, {}, found.magnitude, found.obscuration};
  for (std::size_t n = 0; n < found.contacts.size(); ++n) {
    if (found.contacts[n]) brief.utc[n] = found.contacts[n]->utc;
  }
  return brief;
}

}  // namespace noonfall::limb
