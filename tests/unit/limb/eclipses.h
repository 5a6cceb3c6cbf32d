// Elements of eclipses for tests: the built-in table's, else what NASA publishes.
#pragma once

#include "lib/contacts/elements.h"
#include "tests/unit/contacts/published_elements.h"

namespace noonfall::tests {

/// eclipse.gsfc.nasa.gov/SEbeselm/SEbeselm2001/SE2002Dec04Tbeselm.html; VSOP87/ELP2000-82.
inline PublishedElements total_2002_december_4() {
  return {"2002-12-04",
          "T",
          "NASA/TP-2006-214141",
          8,
          -0.3020,
          7.5376111,
          0.0047437,
          0.0047201,
          {0.186190, 0.5532552, 0.0000145, -0.0000098},
          {-0.354458, -0.1309131, 0.0001806, 0.0000022},
          {-22.22650, -0.005297, 0.000006},
          {0.544165, 0.0000834, -0.0000125},
          {-0.001963, 0.0000830, -0.0000124},
          {302.48074, 14.997265},
          64.4,
          0.272488,
          0.272281};
}

/// Without a publication's own Delta T: times are UTC by the leap seconds and UT1 - UTC of the settings.
inline std::optional<contacts::Elements> eclipse_of(const std::string& date) {
  const auto day = *parse_date(date);
  if (const auto* found = contacts::find_elements(contacts::built_in_elements(), day)) return *found;
  for (const auto& published :
       {total_1999_august_11(), total_2002_december_4(), annular_1994_may_10(), total_2006_march_29()}) {
    if (published.date != date) continue;
    auto elements = as_user_file(published);
    elements.delta_t.reset();
    return elements;
  }
  return std::nullopt;
}

}  // namespace noonfall::tests
