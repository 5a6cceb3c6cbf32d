// What is said of the mean limb's C2 and C3, against the Moon's real edge at sites drawn from many paths.
//
// limb_sites.csv: 100 sites each of 14 total eclipses 2017-2045, anywhere between the limits, sunrise and
// sunset; C2 and C3 by lib/limb with a strip of 16 px/deg made from LROC WAC GLD100 (Scholten et al. 2012),
// Sun 959.95"; no instants where the edge leaves the eclipse partial. tests/unit/limb/limb_sites_maker.cpp
// made it, and limb_sites_test.cpp there makes some of it again.
#include <cmath>
#include <set>

#include <doctest/doctest.h>

#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
#include "lib/contacts/on_path.h"
#include "lib/contacts/uncertainty.h"
#include "tests/unit/contacts/reference_table.h"

using namespace noonfall;
using namespace noonfall::contacts;

namespace {

struct RealEdge {
  const Elements* elements = nullptr;
  Site site;
  std::optional<Utc> c2;  // empty: partial
  std::optional<Utc> c3;
};

std::optional<Utc> instant(const std::string& cell) {
  if (cell.empty()) return std::nullopt;
  return *parse_utc(cell);
}

const std::vector<RealEdge>& real_edges() {
  static const auto all = [] {
    std::vector<RealEdge> rows;
    for (const auto& row : reference::read_table("limb_sites.csv"))
      rows.push_back({find_elements(built_in_elements(), *parse_date(row.at("date"))),
                      {{std::stod(row.at("lat"))}, {std::stod(row.at("lon"))}, {0}},
                      instant(row.at("c2_utc")),
                      instant(row.at("c3_utc"))});
    return rows;
  }();
  return all;
}

/// Nothing but the edges of Sun and Moon is in doubt; neither side has the bend of light in it.
Settings edges_alone() {
  Settings settings;
  settings.dut1_error = {};
  settings.position_error = {};
  settings.height_error = {};
  return settings;
}

Duration half_width(const Contact& contact) {
  auto parts = contact.parts;
  std::erase_if(parts, [](const auto& part) { return part.reason.starts_with("refraction"); });
  return total(parts);
}

struct Share {
  int covered = 0;
  int judged = 0;
  void count(bool is_covered) {
    covered += is_covered ? 1 : 0;
    ++judged;
  }
  [[nodiscard]] double value() const { return static_cast<double>(covered) / judged; }
};

struct Coverage {
  Share all;
  Share late;  // of the mean limb's contacts that come after the real one
  Share early;
};

Coverage coverage_of(ContactName name) {
  Coverage coverage;
  for (const auto& row : real_edges()) {
    if (!row.c2) continue;
    const auto found = circumstances(*row.elements, row.site, edges_alone());
    const auto& contact = *found.at(name);
    const auto error = contact.utc - (name == ContactName::c2 ? *row.c2 : *row.c3);
    const bool covered = std::chrono::abs(error) <= half_width(contact);
    coverage.all.count(covered);
    (error > Duration{} ? coverage.late : coverage.early).count(covered);
  }
  return coverage;
}

/// 95 % within what a sample of so many tells from it: three standard deviations below.
double least(const Share& share) {
  return 0.95 - 3 * std::sqrt(0.95 * 0.05 / share.judged);
}

}  // namespace

TEST_CASE("the table of real edges has at least 100 sites of 12 eclipses, and grazes among them") {
  std::set<Date> dates;
  int partial = 0;
  for (const auto& row : real_edges()) {
    dates.insert(row.elements->date);
    partial += row.c2 ? 0 : 1;
  }
  CHECK(dates.size() >= 12);
  CHECK(real_edges().size() == dates.size() * 100);
  CHECK(partial > 0);
}

TEST_CASE("95 % half-widths of the mean limb cover 95 % of real edges, at C2 as at C3, to either side") {
  Share both;
  for (const auto name : {ContactName::c2, ContactName::c3}) {
    CAPTURE(name);
    const auto coverage = coverage_of(name);
    CHECK(coverage.all.value() >= 0.95);
    CHECK(coverage.late.value() >= least(coverage.late));
    CHECK(coverage.early.value() >= least(coverage.early));
    both.covered += coverage.all.covered;
    both.judged += coverage.all.judged;
  }
  CHECK(both.value() <= 0.99);
}

TEST_CASE(
    "totality that outlasts both half-widths is totality with the real edge, and nearly all of what they "
    "leave") {
  constexpr Duration most_beyond = std::chrono::milliseconds{1500};  // of the one end in twenty that isn't
  Share inside;
  int certain = 0;
  for (const auto& row : real_edges()) {
    const auto found = circumstances(*row.elements, row.site, edges_alone());
    const auto from = found.at(ContactName::c2)->utc + half_width(*found.at(ContactName::c2));
    const auto until = found.at(ContactName::c3)->utc - half_width(*found.at(ContactName::c3));
    if (until <= from) continue;
    ++certain;
    CAPTURE(to_text(row.elements->date));
    CAPTURE(row.site.latitude.value);
    REQUIRE(row.c2);
    CHECK(*row.c2 < until);
    CHECK(*row.c3 > from);
    inside.count(*row.c2 <= from);
    inside.count(*row.c3 >= until);
    CHECK(*row.c2 - from < most_beyond);
    CHECK(until - *row.c3 < most_beyond);
  }
  CHECK(certain > 1200);
  CHECK(inside.value() >= 0.95);
}

TEST_CASE("a site the real edge leaves partial is never said to be surely on the path") {
  for (const auto& row : real_edges()) {
    if (row.c2) continue;
    const auto settings = edges_alone();
    const auto on = on_path(*row.elements, circumstances(*row.elements, row.site, settings), settings);
    REQUIRE(on);
    CAPTURE(to_text(row.elements->date));
    CHECK_FALSE(on->certain);
  }
}
