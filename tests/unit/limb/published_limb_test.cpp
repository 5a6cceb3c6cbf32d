// What others computed and saw: the limb corrections NASA's bulletins print, and totality of 2001 June 21 at
// a place near the edge of the path.
#include <cmath>

#include "lib/base/sun.h"
#include "lib/limb/limb_contacts.h"
#include "tests/unit/limb/eclipses.h"
#include "tests/unit/limb/strips.h"

using namespace noonfall;
using namespace noonfall::limb;
using namespace noonfall::tests;
using contacts::ContactName;

namespace {

/// Where the shadow's axis meets the Earth's surface at t.
contacts::Site centre_line(const contacts::Shadow& shadow, double t) {
  contacts::Site site{{0}, {0}, {0}};
  // First the sphere's point below the axis, then Newton's steps on the ellipsoid.
  const auto s = shadow.at(t, contacts::Observer{site});
  const double x = s.u + s.xi;
  const double y = s.v + s.eta;
  const double z = std::sqrt(1 - x * x - y * y);
  const double hour_angle_at_0 = std::atan2(s.sin_h, s.cos_h);
  site.latitude = degrees(std::asin(y * s.cos_d + z * s.sin_d));
  site.longitude = degrees(std::atan2(x, z * s.cos_d - y * s.sin_d) - hour_angle_at_0);
  constexpr double step = 1e-4;
  for (int n = 0; n < 6; ++n) {
    const auto at = [&](double north, double east) {
      return shadow.at(
          t, contacts::Observer{{{site.latitude.value + north}, {site.longitude.value + east}, {0}}});
    };
    const auto here = at(0, 0);
    const auto north = at(step, 0);
    const auto east = at(0, step);
    const double un = (north.u - here.u) / step;
    const double vn = (north.v - here.v) / step;
    const double ue = (east.u - here.u) / step;
    const double ve = (east.v - here.v) / step;
    const double det = un * ve - ue * vn;
    site.latitude.value -= (here.u * ve - here.v * ue) / det;
    site.longitude.value -= (here.v * un - here.u * vn) / det;
  }
  return site;
}

struct BulletinRow {
  const char* ut;
  double correction_s;
};

/// Corrections of the duration on the central line, ours less theirs; the worst.
double worst_residual(const std::string& date, const std::vector<BulletinRow>& rows) {
  const auto elements = eclipse_of(date);
  REQUIRE(elements);
  const contacts::Settings settings;
  const contacts::Shadow shadow{*elements, delta_t_for(*elements, settings)};
  double worst = 0;
  for (const auto& row : rows) {
    const auto ut = parse_utc(date + "T" + row.ut + ":00Z");
    const auto t = in_seconds(*ut - instant_at(*elements, settings, 0)) / 3600;
    const auto found = limb_contacts(*gld100_strip(), *elements, centre_line(shadow, t), settings);
    const std::string at = row.ut;
    CAPTURE(at);
    REQUIRE(found.c2_correction);
    REQUIRE(found.c3_correction);
    const double residual = in_seconds(*found.c3_correction - *found.c2_correction) - row.correction_s;
    MESSAGE(at << " UT: " << row.correction_s << " s printed, off by " << residual << " s");
    worst = std::max(worst, std::abs(residual));
  }
  return worst;
}

/// 2001 June 21, 16 02.969 S 28 51.308 E, 400 m. UT1 - UTC of IERS Bulletin B.
LimbContacts near_the_southern_limit(Arcseconds solar_radius) {
  const auto elements = eclipse_of("2001-06-21");
  REQUIRE(elements);
  contacts::Settings settings;
  settings.dut1 = from_seconds(-0.0253);
  settings.solar_radius = solar_radius;
  const contacts::Site site{{-(16 + 2.969 / 60)}, {28 + 51.308 / 60}, {400}};
  return limb_contacts(*gld100_strip(), *elements, site, settings);
}

double later_by(const LimbContacts& found, ContactName name, const char* clock) {
  REQUIRE(found.circumstances.at(name));
  return in_seconds(found.circumstances.at(name)->utc - *parse_utc(std::string{"2001-06-21T"} + clock + "Z"));
}

}  // namespace

TEST_CASE(
    "2002 December 4: corrections of the duration on the central line as in NASA/TP-2001-209990, Table 6") {
  if (gld100_strip() == nullptr) return;
  CHECK(worst_residual("2002-12-04", {{"05:55", -0.3},
                                      {"06:00", -0.2},
                                      {"06:10", -0.2},
                                      {"06:25", -0.6},
                                      {"06:40", -0.6},
                                      {"06:55", -1.1}}) < 0.7);
}

TEST_CASE("1994 May 10: corrections of the ring's duration on the central line as in NASA RP 1301, Table 6") {
  if (gld100_strip() == nullptr) return;
  CHECK(worst_residual("1994-05-10", {{"15:25", -7.8},
                                      {"15:45", -10.2},
                                      {"16:10", -11.5},
                                      {"16:35", -12.6},
                                      {"16:55", -12.9},
                                      {"17:10", -12.5}}) < 1.0);
}

// oocities.org/bareford/subsun5.html: camcorder timings good to about a second, and Watts-corrected
// predictions. Seen mirrored, east for west, the Moon's edge gives a correction of the wrong size here.
TEST_CASE("2001 June 21 near the southern limit: the edge makes C2 more than 8 s later, as published") {
  if (gld100_strip() == nullptr) return;
  const auto found = near_the_southern_limit(auwers_solar_radius);
  REQUIRE(found.c2_correction);
  CHECK(in_seconds(*found.c2_correction) > 8);
  CHECK(std::abs(later_by(found, ContactName::c2, "13:11:15.8")) < 2);
  CHECK(std::abs(later_by(found, ContactName::c3, "13:12:17.2")) < 2);
}

TEST_CASE("2001 June 21 near the southern limit: with the measured solar radius contacts are as observed") {
  if (gld100_strip() == nullptr) return;
  const auto found = near_the_southern_limit(measured_solar_radius);
  CHECK(std::abs(later_by(found, ContactName::c2, "13:11:18")) < 2);
  CHECK(std::abs(later_by(found, ContactName::c3, "13:12:15")) < 2);
}
