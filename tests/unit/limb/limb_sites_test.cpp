// Whether the table of real edges that the mean limb is judged by is what this program makes of the heights.
#include "lib/limb/limb_contacts.h"
#include "tests/unit/contacts/reference_table.h"
#include "tests/unit/limb/eclipses.h"
#include "tests/unit/limb/strips.h"

using namespace noonfall;
using namespace noonfall::limb;
using namespace noonfall::tests;
using contacts::ContactName;

TEST_CASE("limb_sites.csv has the contacts that the reference strip gives") {
  const auto* strip = gld100_strip();
  if (strip == nullptr) return;
  const auto rows = reference::read_table("limb_sites.csv");
  REQUIRE(rows.size() == 1400);
  contacts::Settings settings;
  settings.solar_radius = measured_solar_radius;
  for (std::size_t n = 0; n < rows.size(); n += 37) {
    const auto& row = rows[n];
    CAPTURE(n);
    const auto found = limb_contacts(*strip, *eclipse_of(row.at("date")),
                                     {{std::stod(row.at("lat"))}, {std::stod(row.at("lon"))}, {0}}, settings)
                           .circumstances;
    CHECK((found.kind == contacts::Kind::total) == !row.at("c2_utc").empty());
    if (row.at("c2_utc").empty()) continue;
    for (const auto& [name, column] :
         {std::pair{ContactName::c2, "c2_utc"}, std::pair{ContactName::c3, "c3_utc"}})
      CHECK(std::abs(in_seconds(found.at(name)->utc - *parse_utc(row.at(column)))) < 0.005);
  }
}
