// Every row of tests/reference/contacts_public.csv: 142 sites solved directly from JPL DE405 (topocentric,
// light-time corrected, IAU 2006/2000A, WGS84) without Besselian elements. Tolerances are those the table's
// makers give for a tool with the same constants.
#include <algorithm>
#include <cmath>
#include <cstdio>

#include <doctest/doctest.h>

#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
#include "tests/unit/contacts/reference_table.h"

using namespace noonfall;
using namespace noonfall::contacts;
using reference::Row;

namespace {

double number(const Row& row, const std::string& column) {
  return std::stod(row.at(column));
}

bool has(const Row& row, const std::string& column) {
  return !row.at(column).empty();
}

double turned(double difference) {
  return std::abs(std::remainder(difference, 360));
}

Circumstances solve_row(const Row& row) {
  const auto* elements = find_elements(built_in_elements(), *parse_date(row.at("eclipse")));
  REQUIRE(elements != nullptr);
  Settings settings;
  settings.dut1 = from_seconds(number(row, "dut1_s"));
  return circumstances(*elements,
                       {{number(row, "lat_deg")}, {number(row, "lon_east_deg")}, {number(row, "elev_m")}},
                       settings);
}

constexpr double undecided_arcsec = 0.03;  // here the choice of ephemeris alone decides the kind

bool is_central(const Row& row) {
  return has(row, "c2_utc");
}

/// How deep the site is in the path: near its edge the gap is a parabola through C2 and C3.
double depth_arcsec(const Row& row) {
  return std::abs(number(row, "c2_rate_arcsec_s")) * number(row, "central_duration_s") / 4;
}

bool kind_is_decided(const Row& row) {
  if (is_central(row)) return depth_arcsec(row) > undecided_arcsec;
  for (const auto* margin : {"inner_margin_arcsec", "closest_gap_arcsec"}) {
    if (has(row, margin) && std::abs(number(row, margin)) < undecided_arcsec) return false;
  }
  return true;
}

struct Column {
  ContactName name;
  std::string prefix;
};
const std::vector<Column> columns{{ContactName::c1, "c1"},
                                  {ContactName::c2, "c2"},
                                  {ContactName::mid, "max"},
                                  {ContactName::c3, "c3"},
                                  {ContactName::c4, "c4"}};

double time_tolerance(const Row& row, const std::string& prefix) {
  const double rate = std::abs(number(row, prefix + "_rate_arcsec_s"));
  return rate > 0.2 ? 0.1 : 0.03 / rate + 0.05;
}

double seconds_between(Utc a, Utc b) {
  return std::abs(in_seconds(a - b));
}

/// Three definitions of MID are in use; the table has two and the third follows from C2 and C3.
double mid_difference(const Row& row, Utc mid) {
  double least = std::min(seconds_between(mid, *parse_utc(row.at("max_utc"))),
                          seconds_between(mid, *parse_utc(row.at("max_minsep_utc"))));
  if (has(row, "c2_utc")) {
    const auto c2 = *parse_utc(row.at("c2_utc"));
    const auto c3 = *parse_utc(row.at("c3_utc"));
    least = std::min(least, seconds_between(mid, c2 + (c3 - c2) / 2));
  }
  return least;
}

/// Between the centres at C2, C3 and MID of a central site: the chord through a circle of the radii's
/// difference.
double central_separation_arcsec(const Row& row, ContactName name) {
  constexpr double sun = 950;  // within 2 %
  const double radius = sun * std::abs(number(row, "magnitude") - 1);
  if (name == ContactName::c2 || name == ContactName::c3) return radius;
  if (name != ContactName::mid) return 2 * sun;
  const double half_duration = number(row, "central_duration_s") / 2;
  return std::sqrt(
      std::max(0.0, radius * radius - std::abs(number(row, "c2_rate_arcsec_s")) * radius * half_duration));
}

/// Degrees the direction of the Moon's centre may differ: 0.05, and what it turns in the time by which the
/// contacts differ (they are judged elsewhere), the Moon passing at most 0.5" a second.
double turn_tolerance(double separation_arcsec, double time_difference_s) {
  return 0.05 + 0.5 * time_difference_s / separation_arcsec * 180 / pi;
}

void check_angles(const Row& row, const Contact& contact, const Column& column) {
  const auto& prefix = column.prefix;
  const double altitude = number(row, prefix + "_alt");
  CHECK(std::abs(contact.altitude.value - altitude) < 0.01);
  const double level = std::cos(altitude * pi / 180);
  CHECK(turned(contact.azimuth.value - number(row, prefix + "_az")) * level < 0.01);
  const double separation = is_central(row) ? central_separation_arcsec(row, column.name) : 1000;
  if (separation < 30) return;
  const double tolerance =
      turn_tolerance(separation, seconds_between(contact.utc, *parse_utc(row.at(prefix + "_utc"))));
  CHECK(turned(contact.position_angle.value - number(row, prefix + "_P")) < tolerance);
  if (altitude < 80) {
    CHECK(turned(contact.vertex_angle.value - number(row, prefix + "_V")) < tolerance + 0.05);
  }
}

}  // namespace

TEST_CASE("contact times agree with the direct solution at every site of the table") {
  double worst_regular = 0;
  double worst_graze_share = 0;
  for (const auto& row : reference::read_table("contacts_public.csv")) {
    CAPTURE(row.at("id"));
    CAPTURE(row.at("site"));
    const auto found = solve_row(row);
    for (const auto& column : columns) {
      CAPTURE(column.prefix);
      const auto& contact = found.at(column.name);
      if (!kind_is_decided(row) && contact.has_value() != has(row, column.prefix + "_utc")) continue;
      REQUIRE((contact.has_value()) == has(row, column.prefix + "_utc"));
      if (!contact) continue;
      if (column.name == ContactName::mid) {
        CHECK(mid_difference(row, contact->utc) < 0.1);
        continue;
      }
      const double difference = seconds_between(contact->utc, *parse_utc(row.at(column.prefix + "_utc")));
      const double tolerance = time_tolerance(row, column.prefix);
      CHECK(difference <= tolerance);
      auto& worst = tolerance == 0.1 ? worst_regular : worst_graze_share;
      worst = std::max(worst, tolerance == 0.1 ? difference : difference / tolerance);
    }
  }
  std::printf("worst contact %.3f s, worst graze %.2f of its tolerance\n", worst_regular, worst_graze_share);
}

TEST_CASE("the kind is right wherever the geometry decides it") {
  int judged = 0;
  for (const auto& row : reference::read_table("contacts_public.csv")) {
    if (!kind_is_decided(row)) continue;
    CAPTURE(row.at("id"));
    CHECK(to_text(solve_row(row).kind) == row.at("type"));
    ++judged;
  }
  CHECK(judged > 120);
}

TEST_CASE("the Sun stands and the limbs touch where the direct solution has them") {
  for (const auto& row : reference::read_table("contacts_public.csv")) {
    CAPTURE(row.at("id"));
    const auto found = solve_row(row);
    for (const auto& column : columns) {
      CAPTURE(column.prefix);
      const auto& contact = found.at(column.name);
      if (!contact || !has(row, column.prefix + "_utc")) continue;
      check_angles(row, *contact, column);
    }
  }
}

TEST_CASE("magnitude and obscuration agree with the direct solution") {
  for (const auto& row : reference::read_table("contacts_public.csv")) {
    if (!kind_is_decided(row) || row.at("type") == "none") continue;
    CAPTURE(row.at("id"));
    const auto found = solve_row(row);
    CHECK(std::abs(found.magnitude - number(row, "magnitude")) < 0.0003);
    CHECK(std::abs(found.obscuration - number(row, "obscuration")) < 0.0005);
  }
}
