// Local circumstances: the whole answer for one site.
#pragma once

#include "lib/contacts/contact.h"
#include "lib/contacts/elements.h"
#include "lib/contacts/settings.h"
#include "lib/contacts/solve.h"

namespace noonfall::contacts {

/// Delta T to use at the eclipse: the elements' own, else from leap seconds and UT1 − UTC.
[[nodiscard]] Duration delta_t_for(const Elements& elements, const Settings& settings);

/// Whether an eclipse of this kind has this contact.
[[nodiscard]] bool happens(Kind kind, ContactName name);

/// The instant `hours` of TT after t0. Where the elements bring their own Delta T, their UT.
[[nodiscard]] Utc instant_at(const Elements& elements, const Settings& settings, double hours);

/// Everything contact.h describes. Any site gives an answer: kind by geometry alone, no NaN.
[[nodiscard]] Circumstances circumstances(const Elements& elements, const Site& site,
                                          const Settings& settings = {});

/// The same once the hours are known, for a better edge of the Moon than `solve` has.
[[nodiscard]] Circumstances circumstances(const Elements& elements, const Site& site,
                                          const Settings& settings, const ContactHours& hours);

}  // namespace noonfall::contacts
