// Publications repeated with their own constants, through the path a user's element file takes.
#include <cmath>

#include <doctest/doctest.h>

#include "lib/contacts/batch.h"
#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
#include "tests/unit/contacts/published_elements.h"
#include "tests/unit/contacts/reference_table.h"

using namespace noonfall;
using namespace noonfall::contacts;
using namespace noonfall::tests;

namespace {

double dm(double sign, double degrees, double minutes) {
  return sign * (degrees + minutes / 60);
}

Circumstances at(const Elements& elements, double latitude, double longitude, double height = 0) {
  return circumstances(elements, {{latitude}, {longitude}, {height}});
}

/// Seconds from the printed time of day (of the eclipse's date) to the contact.
double later_by(const Circumstances& found, ContactName name, const std::string& printed) {
  REQUIRE(found.at(name));
  const auto instant = parse_utc(to_text(found.eclipse) + "T" + printed + "Z");
  REQUIRE(instant);
  return in_seconds(found.at(name)->utc - *instant);
}

double turned(double difference) {
  return std::abs(std::remainder(difference, 360));
}

}  // namespace

TEST_CASE(
    "2006 March 29: the shadow touches and leaves the Earth where and when NASA/TP-2004-212762 prints") {
  const auto elements = as_user_file(total_2006_march_29());
  // Its Table 2, TDT less 64.9 s. The first and last place touched by a cone sees that contact at that
  // instant.
  const auto p1 = at(elements, dm(-1, 14, 27.5), dm(-1, 22, 7.0));
  CHECK(std::abs(later_by(p1, ContactName::c1, "07:36:48.5")) < 1);
  const auto u1 = at(elements, dm(-1, 6, 31.1), dm(-1, 37, 0.1));
  CHECK(std::abs(later_by(u1, ContactName::c2, "08:34:24.4")) < 1);
  const auto greatest = at(elements, dm(1, 23, 9.1), dm(1, 16, 44.9));
  CHECK(std::abs(later_by(greatest, ContactName::mid, "10:11:17.7")) < 1);
  CHECK(greatest.magnitude == doctest::Approx(1.05151).epsilon(0.0002));
  const auto p4 = at(elements, dm(1, 43, 26.5), dm(1, 83, 2.5));
  CHECK(std::abs(later_by(p4, ContactName::c4, "12:45:40.6")) < 1);
  const auto u4 = at(elements, dm(1, 51, 21.2), dm(1, 98, 30.5));
  CHECK(std::abs(later_by(u4, ContactName::c3, "11:47:56.4")) < 1);
  // The inner ones: where a cone's trailing edge comes onto the Earth the eclipse ends at sunrise, where its
  // leading edge leaves the Earth it begins at sunset.
  const auto p2 = at(elements, dm(1, 27, 28.6), dm(-1, 56, 42.9));
  CHECK(std::abs(later_by(p2, ContactName::c4, "09:44:37.2")) < 1);
  const auto p3 = at(elements, dm(1, 84, 27.7), dm(1, 149, 44.3));
  CHECK(std::abs(later_by(p3, ContactName::c1, "10:37:28.0")) < 1);
  const auto u2 = at(elements, dm(-1, 6, 4.6), dm(-1, 37, 32.8));
  CHECK(std::abs(later_by(u2, ContactName::c3, "08:36:28.6")) < 1);
  const auto u3 = at(elements, dm(1, 51, 47.0), dm(1, 99, 5.0));
  CHECK(std::abs(later_by(u3, ContactName::c2, "11:45:54.5")) < 1);
}

TEST_CASE("2006 March 29: totality in the places the text of NASA/TP-2004-212762 names") {
  const auto elements = as_user_file(total_2006_march_29());
  // Places by common map coordinates; durations are printed to the second.
  CHECK(in_seconds(at(elements, dm(1, 5, 33), dm(-1, 0, 13)).totality()) ==
        doctest::Approx(178).epsilon(0.007));
  CHECK(in_seconds(at(elements, dm(1, 36, 53), dm(1, 30, 42)).totality()) ==
        doctest::Approx(191).epsilon(0.006));
  const auto porto_novo = at(elements, 6.48, 2.62);
  CHECK(porto_novo.kind == Kind::partial);
  CHECK(porto_novo.magnitude == doctest::Approx(0.985).epsilon(0.002));
}

TEST_CASE("1994 May 10: Meeus's examples come out to the second") {
  const auto elements = as_user_file(annular_1994_may_10());
  SUBCASE("example 5: the central line at 97 degrees west") {
    const auto found = at(elements, 36.74052, -97);
    CHECK(found.kind == Kind::annular);
    CHECK(std::abs(later_by(found, ContactName::mid, "16:35:50")) < 1);
    const double turn =
        found.at(ContactName::c3)->position_angle.value - found.at(ContactName::c2)->position_angle.value;
    CHECK(std::abs(turned(turn) - 180) < 1);  // the Moon crosses the middle of the Sun
  }
  SUBCASE("example 6: the limits at 97 degrees west, 0.01 degrees to either side") {
    CHECK(at(elements, 37.99034 - 0.01, -97).kind == Kind::annular);
    CHECK(at(elements, 37.99034 + 0.01, -97).kind == Kind::partial);
    CHECK(at(elements, 35.49901 + 0.01, -97).kind == Kind::annular);
    CHECK(at(elements, 35.49901 - 0.01, -97).kind == Kind::partial);
    CHECK(std::abs(later_by(at(elements, 37.99034 - 0.001, -97), ContactName::mid, "16:38:05")) < 2);
    CHECK(std::abs(later_by(at(elements, 35.49901 + 0.001, -97), ContactName::mid, "16:33:34")) < 2);
  }
  SUBCASE("example 8: local circumstances") {
    const auto found = at(elements, 38 + 55 / 60.0 + 17 / 3600.0, -(77 + 3 / 60.0 + 56 / 3600.0));
    CHECK(found.kind == Kind::partial);
    CHECK(std::abs(later_by(found, ContactName::c1, "15:39:19")) < 1);
    CHECK(std::abs(later_by(found, ContactName::mid, "17:26:45")) < 1);
    CHECK(std::abs(later_by(found, ContactName::c4, "19:13:53")) < 1);
    CHECK(std::abs(found.magnitude - 0.857) < 0.0006);
  }
}

TEST_CASE("1994 May 10: Meeus's curve of magnitude 0.8") {
  auto published = annular_1994_may_10();
  published.k2 = published.k1;  // his formula, (L1 - m) / (L1 + L2), takes l1 and l2 as of one Moon
  const auto elements = as_user_file(published);
  struct Point {
    double longitude, latitude;
    std::string time;
  };
  for (const auto& point :
       {Point{-120, 32.7424, "15:56:17"}, Point{-115, 35.4645, "16:06:10"}, Point{-110, 38.1538, "16:17:19"},
        Point{-105, 40.7021, "16:29:14"}, Point{-100, 43.0162, "16:41:25"}}) {
    CAPTURE(point.longitude);
    const auto found = at(elements, point.latitude, point.longitude);
    CHECK(std::abs(found.magnitude - 0.8) < 0.0001);
    // printed to the second, and for least separation, which isn't quite the instant of greatest coverage
    CHECK(std::abs(later_by(found, ContactName::mid, point.time)) < 1.5);
  }
}

TEST_CASE("1999 August 11: the cities of NASA RP 1398, Table 21") {
  const auto elements = as_user_file(total_1999_august_11());
  const auto rows = reference::read_table("cities_rp1398_table21.csv");
  REQUIRE(rows.size() == 13);
  // 2 s: the bulletin rests on DE200 and another Delta T than the canon's elements.
  for (const auto& row : rows) {
    const auto printed = [&](const std::string& column) { return std::stod(row.at(column)); };
    CAPTURE(row.at("city"));
    const auto found = at(elements, printed("latitude"), printed("longitude"), printed("elevation_m"));
    const auto check = [&](ContactName name, const std::string& column) {
      CAPTURE(column);
      CHECK(std::abs(later_by(found, name, row.at(column))) < 2);
      CHECK(turned(found.at(name)->position_angle.value - printed(column + "_p")) < 1);
      CHECK(turned(found.at(name)->vertex_angle.value - printed(column + "_v")) < 1);
      CHECK(std::abs(found.at(name)->altitude.value - printed(column + "_alt")) < 1);
    };
    check(ContactName::c1, "c1");
    check(ContactName::mid, "mid");
    check(ContactName::c4, "c4");
    CHECK(turned(found.at(ContactName::mid)->azimuth.value - printed("mid_az")) < 1);
    CHECK(std::abs(found.magnitude - printed("magnitude")) < 0.0011);
    CHECK(std::abs(found.obscuration - printed("obscuration")) < 0.0013);
  }
}

TEST_CASE("the built-in elements lie by NASA's, and give its greatest eclipses") {
  // Five Millennium Canon pages (SEdata.php): x, y at t0, place of greatest eclipse, duration there.
  struct Page {
    std::string date;
    double x0, y0, l2, mu0, latitude, longitude, duration_s;
  };
  for (const auto& page :
       {Page{"2017-08-21", -0.1295710, 0.4854160, -0.0040250, 89.2454300, 37.0, -87.7, 160},
        Page{"2024-04-08", -0.3182440, 0.2197640, -0.0102720, 89.5912170, 25.3, -104.1, 268},
        Page{"2026-08-12", 0.4755140, 0.7711830, -0.0081420, 88.7477870, 65.2, -25.2, 138},
        Page{"2027-08-02", -0.0197720, 0.1600610, -0.0154640, 328.4225460, 25.5, 33.2, 383},
        Page{"2028-07-22", -0.1544090, -0.5864240, -0.0108460, 223.3786770, -15.6, 126.7, 310}}) {
    CAPTURE(page.date);
    const auto* elements = find_elements(built_in_elements(), *parse_date(page.date));
    REQUIRE(elements != nullptr);
    CHECK(std::abs(elements->x[0] - page.x0) < 2e-5);
    CHECK(std::abs(elements->y[0] - page.y0) < 2e-5);
    CHECK(std::abs(elements->l2[0] - page.l2) < 2e-6);
    CHECK(std::abs(elements->mu[0] - page.mu0) < 2e-4);
    const auto there = at(*elements, page.latitude, page.longitude);
    CHECK(there.kind == Kind::total);
    CHECK(std::abs(in_seconds(there.totality()) - page.duration_s) < 1.5);
  }
}

TEST_CASE("an hour and a half from first bite to totality, and two minutes of it, as people remember 2017") {
  // common practice, no source
  const auto* elements = find_elements(built_in_elements(), *parse_date("2017-08-21"));
  const auto found = at(*elements, 42.86, -106.31, 1600);
  const double partial_min = in_seconds(found.at(ContactName::c2)->utc - found.at(ContactName::c1)->utc) / 60;
  CHECK(partial_min > 75);
  CHECK(partial_min < 95);
  CHECK(in_seconds(found.totality()) > 125);
  CHECK(in_seconds(found.totality()) < 160);
}

TEST_CASE("C2 of a total eclipse touches the Sun's east limb, of an annular one the west") {
  // Explanatory Supplement to the Astronomical Almanac: the Moon comes from the west. From NASA's elements of
  // 2006 the contact is at P 44 at greatest eclipse.
  const auto total = at(as_user_file(total_2006_march_29()), dm(1, 23, 9.1), dm(1, 16, 44.9));
  CHECK(std::abs(total.at(ContactName::c2)->position_angle.value - 44) < 2);
  const auto annular = at(as_user_file(annular_1994_may_10()), 36.74052, -97);
  const double p = annular.at(ContactName::c2)->position_angle.value;
  CHECK(p > 180);
  CHECK(p < 360);
}
