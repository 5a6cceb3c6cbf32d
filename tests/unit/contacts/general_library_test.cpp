// A general ephemeris library's search for local eclipses agrees within what its constants explain: it has
// larger outer radii (C1 early and C4 late by a third of a second, 1.3 s at most) and doesn't turn its
// observer by nutation (0.25 s).
#include <algorithm>
#include <cmath>
#include <cstdio>

#include <doctest/doctest.h>

#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
#include "tests/unit/contacts/reference_table.h"

#ifdef NOONFALL_HAS_SWEPH
#include <swephexp.h>

using namespace noonfall;
using namespace noonfall::contacts;

namespace {

constexpr double unix_epoch_jd = 2440587.5;

Utc from_julian_day(double jd) {
  return Utc{from_seconds((jd - unix_epoch_jd) * 86400)};
}

struct Theirs {
  std::array<double, 10> times{};  // maximum, then the four contacts, UT
  bool found = false;
};

Theirs search(Date date, const Site& site) {
  double place[3] = {site.longitude.value, site.latitude.value, site.height.value};
  double attributes[20];
  char error[AS_MAXCH];
  const double start =
      unix_epoch_jd + static_cast<double>(std::chrono::sys_days{date}.time_since_epoch().count()) - 1;
  Theirs theirs;
  const auto flags =
      swe_sol_eclipse_when_loc(start, SEFLG_SWIEPH, place, theirs.times.data(), attributes, 0, error);
  theirs.found = flags > 0;
  return theirs;
}

}  // namespace

TEST_CASE("contacts agree with a general ephemeris library's") {
  char folder[] = "/usr/share/libswe/ephe";
  swe_set_ephe_path(folder);
  swe_set_delta_t_userdef(69.184 / 86400);
  int compared = 0;
  for (const auto& row : reference::read_table("contacts_public.csv")) {
    if (row.at("category") != "city" || row.at("visibility") != "all") continue;
    CAPTURE(row.at("site"));
    const auto date = *parse_date(row.at("eclipse"));
    const Site site{
        {std::stod(row.at("lat_deg"))}, {std::stod(row.at("lon_east_deg"))}, {std::stod(row.at("elev_m"))}};
    const auto ours = circumstances(*find_elements(built_in_elements(), date), site);
    const auto theirs = search(date, site);
    REQUIRE(theirs.found);
    struct Pair {
      ContactName name;
      std::size_t index;
      std::string rate_column;
      double tolerance_s;
      double tolerance_arcsec;
    };
    for (const auto& pair : {Pair{ContactName::c1, 1, "c1_rate_arcsec_s", 1.5, 0.5},
                             Pair{ContactName::c2, 2, "c2_rate_arcsec_s", 0.7, 0.2},
                             Pair{ContactName::c3, 3, "c3_rate_arcsec_s", 0.7, 0.2},
                             Pair{ContactName::c4, 4, "c4_rate_arcsec_s", 1.5, 0.5}}) {
      CAPTURE(to_text(pair.name));
      if (!ours.at(pair.name)) continue;
      // slow contacts, off the centre line, show the same angle as more time
      const double slow = pair.tolerance_arcsec / std::abs(std::stod(row.at(pair.rate_column)));
      const double difference =
          in_seconds(from_julian_day(theirs.times[pair.index]) - ours.at(pair.name)->utc);
      CHECK(std::abs(difference) < std::max(pair.tolerance_s, slow));
      ++compared;
    }
  }
  swe_close();
  CHECK(compared > 60);
}
#else
TEST_CASE("contacts agree with a general ephemeris library's") {
  std::puts("SKIPPED: no reference, libswe-dev isn't installed");
}
#endif
