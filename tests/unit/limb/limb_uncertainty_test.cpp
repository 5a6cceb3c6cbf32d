// Whether what is said about errors of contacts with the real edge is true.
#include <cmath>

#include "lib/limb/limb_contacts.h"
#include "tests/unit/contacts/reference_table.h"
#include "tests/unit/limb/eclipses.h"
#include "tests/unit/limb/strips.h"

using namespace noonfall;
using namespace noonfall::limb;
using namespace noonfall::tests;
using contacts::ContactName;

namespace {

contacts::Settings exact_inputs(double dut1_s) {
  contacts::Settings settings;
  settings.dut1 = from_seconds(dut1_s);
  settings.dut1_error = {};
  settings.position_error = {};
  settings.height_error = {};
  settings.solar_radius_error = Arcseconds{0};  // the table's own, 959.63"
  return settings;
}

std::string reasons(const contacts::Contact& contact) {
  std::string all;
  for (const auto& part : contact.parts) all += part.reason + "\n";
  return all;
}

}  // namespace

TEST_CASE("95 % half-widths with 16 px/deg cover 90 to 99 % of what heights at 64 px/deg have otherwise") {
  // limb_vectors_contacts.csv: C2 and C3 from LROC GLD100 at 64 pixels a degree and JPL DE405.
  const auto* strip = gld100_strip();
  if (strip == nullptr) return;
  int covered = 0;
  int judged = 0;
  for (const auto& row : reference::read_table("limb_vectors_contacts.csv")) {
    const auto minute = row.at("utc_ref");
    const auto found =
        limb_contacts(*strip, *eclipse_of(minute.substr(0, 10)),
                      {{std::stod(row.at("lat"))}, {std::stod(row.at("lon"))}, {std::stod(row.at("h_m"))}},
                      exact_inputs(std::stod(row.at("ut1_utc_s"))));
    for (const auto& [name, column] :
         {std::pair{ContactName::c2, "limbC2_gld64_s"}, std::pair{ContactName::c3, "limbC3_gld64_s"}}) {
      const auto& contact = *found.circumstances.at(name);
      const double error = in_seconds(contact.utc - *parse_utc(minute + ":00Z")) - std::stod(row.at(column));
      covered += std::abs(error) <= in_seconds(contact.uncertainty) ? 1 : 0;
      ++judged;
    }
  }
  CHECK(judged == 82);
  CAPTURE(covered);
  CHECK(covered >= 0.90 * judged);
  CHECK(covered <= 0.99 * judged);
}

TEST_CASE("C2 and C3 name the heights they rest on, C1 and C4 say that the edge isn't applied") {
  const auto strip = smooth_strip(1737.4);
  const auto found = limb_contacts(strip, *eclipse_of("2027-08-02"), {{25.5}, {33.2}, {200}}, {});
  REQUIRE(found.circumstances.kind == contacts::Kind::total);
  for (const auto name : {ContactName::c2, ContactName::c3}) {
    const auto text = reasons(*found.circumstances.at(name));
    CHECK(text.find("lunar limb data, 2 px/deg") != std::string::npos);
    CHECK(text.find("not applied: mountains") == std::string::npos);
  }
  for (const auto name : {ContactName::c1, ContactName::c4})
    CHECK(reasons(*found.circumstances.at(name)).find("lunar limb not applied") != std::string::npos);
}
