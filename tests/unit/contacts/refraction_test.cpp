#include <cmath>

#include <doctest/doctest.h>

#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
#include "lib/contacts/solve.h"

using namespace noonfall;
using namespace noonfall::contacts;

namespace {

Circumstances at(const char* date, const Site& site, Refraction refraction) {
  Settings settings;
  settings.refraction = refraction;
  return circumstances(*find_elements(built_in_elements(), *parse_date(date)), site, settings);
}

double refraction_part_s(const Contact& contact) {
  for (const auto& part : contact.parts) {
    if (part.reason.find("refraction") != std::string::npos) return in_seconds(part.half_width);
  }
  return 0;
}

}  // namespace

TEST_CASE("a bent ray stands for an observer higher by as much as layers of air make it") {
  // Bouguer's invariant with a mean horizontal refraction of 29' from true altitude 0: 1.6 km; each value
  // worked out by hand from Saemundsson 1986.
  CHECK(raised_by_refraction({0}).value == doctest::Approx(1651).epsilon(0.02));
  CHECK(raised_by_refraction({5}).value == doctest::Approx(283).epsilon(0.05));
  CHECK(raised_by_refraction({10}).value == doctest::Approx(100).epsilon(0.15));
  CHECK(raised_by_refraction({15}).value == 0);
  CHECK(raised_by_refraction({-5}).value == 0);
}

TEST_CASE("near the horizon refraction moves contacts by a few seconds at most, and not at all higher up") {
  // Common estimates: 3 s with the Sun at the horizon, 1 s at 2 degrees, 0.3 s at 5 degrees (rough).
  // 2026-08-12 along the path's last stretch in Spain and over the sea behind it.
  struct Place {
    Site site;
    double least_s, most_s;
  };
  for (const auto& [site, least_s, most_s] :
       {Place{{{43.36}, {-8.41}, {60}}, 0.01, 0.15}, Place{{{39.75}, {2.9}, {50}}, 0.3, 2.5},
        Place{{{65.2}, {-25.2}, {0}}, 0, 0}}) {
    CAPTURE(site.longitude.value);
    const auto plain = at("2026-08-12", site, Refraction::ignored);
    const auto bent = at("2026-08-12", site, Refraction::applied);
    REQUIRE(plain.kind == Kind::total);
    const auto& c2 = *plain.at(ContactName::c2);
    CAPTURE(c2.altitude.value);
    const double moved = std::abs(in_seconds(bent.at(ContactName::c2)->utc - c2.utc));
    CHECK(moved >= least_s);
    CHECK(moved <= most_s);
    CHECK(std::abs(refraction_part_s(c2) - moved) < 0.002);
    CHECK(std::abs(refraction_part_s(*bent.at(ContactName::c2)) - 0.3 * moved) < 0.002);
  }
}
