// The elements of one eclipse, fitted to the ephemeris.
#pragma once

#include "lib/contacts/elements.h"
#include "tests/elements_maker/eclipse_search.h"

namespace noonfall::elements_maker {

/// t0 is the whole hour of TT next to greatest eclipse; `date` is that of greatest eclipse in UTC.
[[nodiscard]] contacts::Elements fitted_elements(const Ephemeris& ephemeris, const GreatestEclipse& greatest);

/// Those of every solar eclipse whose date is in these years, oldest first.
[[nodiscard]] std::vector<contacts::Elements> elements_of_years(const Ephemeris& ephemeris, int first_year,
                                                                int last_year);

}  // namespace noonfall::elements_maker
