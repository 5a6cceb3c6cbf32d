// C2 and C3 with the Moon's real edge, against an independent ephemeris-based computation and NASA's
// bulletins.
#include <cmath>

#include "lib/base/sun.h"
#include "lib/limb/limb_contacts.h"
#include "tests/unit/contacts/reference_table.h"
#include "tests/unit/limb/eclipses.h"
#include "tests/unit/limb/strips.h"

using namespace noonfall;
using namespace noonfall::limb;
using namespace noonfall::tests;
using contacts::ContactName;
using contacts::Kind;

namespace {

constexpr double earth_radius_km = 6378.137;

/// A row of limb_vectors_contacts.csv: solved from DE405 directly, S = 959.63", no Besselian elements.
struct Vector41 {
  contacts::Elements elements;
  contacts::Site site;
  contacts::Settings settings;
  Utc reference;
  reference::Row row;

  [[nodiscard]] double cell(const std::string& name) const { return std::stod(row.at(name)); }
  [[nodiscard]] double seconds(const contacts::Circumstances& found, ContactName name) const {
    REQUIRE(found.at(name));
    return in_seconds(found.at(name)->utc - reference);
  }
};

/// Those whose eclipse is known.
std::vector<Vector41> vectors() {
  std::vector<Vector41> out;
  for (const auto& row : reference::read_table("limb_vectors_contacts.csv")) {
    const auto* elements =
        contacts::find_elements(contacts::built_in_elements(), *parse_date(row.at("utc_ref").substr(0, 10)));
    if (elements == nullptr) continue;
    contacts::Settings settings;
    settings.dut1 = from_seconds(std::stod(row.at("ut1_utc_s")));
    out.push_back({*elements,
                   {{std::stod(row.at("lat"))}, {std::stod(row.at("lon"))}, {std::stod(row.at("h_m"))}},
                   settings,
                   *parse_utc(row.at("utc_ref") + ":00Z"),
                   row});
  }
  return out;
}

}  // namespace

TEST_CASE("contacts with the real edge agree with an independent computation at sites of 1999 to 2038") {
  const auto* strip = gld100_strip();
  if (strip == nullptr) return;
  double worst_smooth = 0;
  double worst_limb = 0;
  double squares = 0;
  int count = 0;
  for (const auto& each : vectors()) {
    CAPTURE(each.row.at("utc_ref"));
    CAPTURE(each.row.at("lat"));
    const auto smooth = contacts::circumstances(each.elements, each.site, each.settings);
    const auto limb = limb_contacts(*strip, each.elements, each.site, each.settings);
    REQUIRE(limb.circumstances.kind == Kind::total);
    const auto compare = [&](const contacts::Circumstances& found, ContactName name, const char* column) {
      return std::abs(each.seconds(found, name) - each.cell(column));
    };
    for (const auto error :
         {compare(smooth, ContactName::c2, "smoothC2_s"), compare(smooth, ContactName::c3, "smoothC3_s")}) {
      CHECK(error < 0.1);
      worst_smooth = std::max(worst_smooth, error);
    }
    for (const auto error : {compare(limb.circumstances, ContactName::c2, "limbC2_gld64_s"),
                             compare(limb.circumstances, ContactName::c3, "limbC3_gld64_s")}) {
      CHECK(error < 0.3);
      worst_limb = std::max(worst_limb, error);
      squares += error * error;
    }
    ++count;
  }
  MESSAGE(count << " sites; smooth worst " << worst_smooth << " s, limb worst " << worst_limb << " s, rms "
                << std::sqrt(squares / (2 * count)) << " s");
  CHECK(count == 41);
}

TEST_CASE("the topocentric libration is that of an independent computation") {
  int count = 0;
  for (const auto& each : vectors()) {
    CAPTURE(each.row.at("utc_ref"));
    const contacts::Shadow shadow{each.elements, delta_t_for(each.elements, each.settings)};
    const contacts::Observer observer{each.site};
    const double t = solve(shadow, observer)[ContactName::c2];
    const auto view = moon_view(each.elements, shadow, observer, t);
    CHECK(std::abs(view.from.longitude.value - each.cell("sub_obs_lon")) < 0.001);
    CHECK(std::abs(view.from.latitude.value - each.cell("sub_obs_lat")) < 0.001);
    ++count;
  }
  CHECK(count == 41);
}

TEST_CASE("a smooth Moon of radius k2 gives the solver's own contacts") {
  const auto strip = smooth_strip(0.272281 * earth_radius_km);
  // total, total near the limit, annular
  struct Place {
    const char* date;
    contacts::Site site;
  };
  for (const auto& [date, site] : {Place{"2027-08-02", {{36.0139}, {-5.6033}, {12}}},
                                   Place{"2024-04-08", {{29.4241}, {-98.4936}, {200}}},
                                   Place{"2024-10-02", {{-27.15}, {-109.43}, {50}}}}) {
    CAPTURE(date);
    const auto elements = *eclipse_of(date);
    const auto smooth = contacts::circumstances(elements, site);
    const auto limb = limb_contacts(strip, elements, site, {});
    CHECK(limb.circumstances.kind == smooth.kind);
    if (smooth.kind != Kind::total && smooth.kind != Kind::annular) continue;
    for (const auto name : contacts::all_contacts) {
      CAPTURE(contacts::to_text(name));
      const auto& a = *smooth.at(name);
      const auto& b = *limb.circumstances.at(name);
      CHECK(std::abs(in_seconds(a.utc - b.utc)) < 0.02);
      CHECK(std::abs(std::remainder(a.position_angle.value - b.position_angle.value, 360)) < 0.2);
      CHECK(std::abs(std::remainder(a.vertex_angle.value - b.vertex_angle.value, 360)) < 0.2);
    }
    CHECK(std::abs(in_seconds(*limb.c2_correction)) < 0.02);
    CHECK(std::abs(in_seconds(*limb.c3_correction)) < 0.02);
  }
}
