// The committed table of elements is what the maker makes. The same processor, libm and ERFA give the same
// bytes; others may differ in the tenth digit, so the rows are compared as numbers, far below a microsecond
// of contact time.
#include <algorithm>
#include <cmath>

#include <doctest/doctest.h>

#include "lib/contacts/elements.h"
#include "tests/elements_maker/elements_csv.h"
#include "tests/elements_maker/fit.h"
#include "tests/elements_maker/fitted_elements.h"
#include "tests/unit/elements_maker/de405.h"

using namespace noonfall;
using namespace noonfall::contacts;

namespace {

constexpr int first_year = 1960;
constexpr int last_year = 2059;

/// Through text and back, as the committed table went.
std::vector<Elements> remade() {
  const auto made = elements_maker::elements_of_years(tests::de405(), first_year, last_year);
  const auto table = parse_elements(elements_maker::elements_csv(made), "made.csv");
  REQUIRE(table);
  return *table;
}

double worst_difference(const Series& a, const Series& b) {
  double worst = 0;
  for (double t = -elements_maker::fit_reach_h; t <= elements_maker::fit_reach_h; t += 0.25)
    worst = std::max(worst, std::abs(elements_maker::value_at(a, t) - elements_maker::value_at(b, t)));
  return worst;
}

}  // namespace

TEST_CASE("the built-in elements are what JPL DE405 gives") {
  constexpr double lengths = 1e-9;  // Earth radii: 6 mm, and the shadow goes 0.5 km or more in a second
  constexpr double degrees = 1e-7;  // 1 cm on the equator
  const auto committed = built_in_elements();
  const auto made = remade();
  REQUIRE(made.size() + 2 == committed.size());  // the two of 2060 are another ephemeris's
  for (std::size_t n = 0; n < made.size(); ++n) {
    CAPTURE(to_text(made[n].date));
    CHECK(made[n].date == committed[n].date);
    CHECK(made[n].type == committed[n].type);
    CHECK(made[n].source == committed[n].source);
    CHECK(made[n].t0_h == committed[n].t0_h);
    CHECK(std::abs(made[n].gamma - committed[n].gamma) < 2e-6);
    CHECK(std::abs(made[n].greatest_h - committed[n].greatest_h) < 2e-6);
    CHECK(std::abs(made[n].tan_f1 - committed[n].tan_f1) < 2e-12);
    CHECK(std::abs(made[n].tan_f2 - committed[n].tan_f2) < 2e-12);
    CHECK(worst_difference(made[n].x, committed[n].x) < lengths);
    CHECK(worst_difference(made[n].y, committed[n].y) < lengths);
    CHECK(worst_difference(made[n].l1, committed[n].l1) < lengths);
    CHECK(worst_difference(made[n].l2, committed[n].l2) < lengths);
    CHECK(worst_difference(made[n].d, committed[n].d) < degrees);
    CHECK(worst_difference(made[n].mu, committed[n].mu) < degrees);
  }
}

TEST_CASE("polynomials of degree 5 follow the shadow to a centimetre") {
  const auto radii = elements_maker::usual_radii(tests::de405().au_km());
  for (const char* date : {"1973-06-30", "2017-08-21", "2027-08-02", "2054-09-02"}) {
    const auto* elements = find_elements(built_in_elements(), *parse_date(date));
    REQUIRE(elements != nullptr);
    CAPTURE(date);
    const double mjd =
        static_cast<double>(std::chrono::sys_days{elements->date}.time_since_epoch().count() + 40587);
    for (double t = -4; t <= 4; t += 0.1) {
      const auto now = elements_maker::shadow_now(
          elements_maker::apparent_places(tests::de405(), {mjd, elements->t0_h + t}), radii);
      CHECK(std::abs(now.x - elements_maker::value_at(elements->x, t)) < 1.5e-9);
      CHECK(std::abs(now.y - elements_maker::value_at(elements->y, t)) < 1.5e-9);
      CHECK(std::abs(now.l1 - elements_maker::value_at(elements->l1, t)) < 1.5e-9);
      CHECK(std::abs(now.l2 - elements_maker::value_at(elements->l2, t)) < 1.5e-9);
    }
  }
}
