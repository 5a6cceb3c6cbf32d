#include "lib/contacts/refraction.h"

#include <cmath>

#include "lib/contacts/angles.h"
#include "lib/contacts/circumstances.h"

namespace noonfall::contacts {

Metres raised_by_refraction(Degrees altitude) {
  constexpr double highest_deg = 15;
  constexpr double air = 2.946e-4;  // n − 1 behind Saemundsson's refraction, from its value at 45 degrees
  if (altitude.value < -1 || altitude.value >= highest_deg) return {0};
  const double sines = std::cos(radians(refracted(altitude))) / std::cos(radians(altitude));
  return {earth_radius.value * ((1 + air) * sines - 1)};
}

double refraction_shift_h(const Shadow& shadow, const Site& site, const ContactHours& hours,
                          ContactName name) {
  const auto raise = raised_by_refraction(sun_angles(shadow, hours[name], Observer{site}).altitude);
  if (raise.value == 0) return 0;
  auto raised = site;
  raised.height.value += raise.value;
  const auto straight = solve(shadow, Observer{site});  // of the circle, whatever edge `hours` has
  const auto bent = solve(shadow, Observer{raised});
  return happens(bent.kind, name) && happens(straight.kind, name) ? bent[name] - straight[name] : 0;
}

}  // namespace noonfall::contacts
