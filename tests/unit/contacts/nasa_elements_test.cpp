// The built-in elements against NASA's printed ones (F. Espenak; eclipse.gsfc.nasa.gov, the pages named in
// tests/reference/nasa_elements.csv), and against another computation from JPL DE405.
#include <algorithm>
#include <cctype>
#include <cmath>

#include <doctest/doctest.h>

#include "lib/contacts/elements.h"
#include "lib/contacts/shadow.h"
#include "tests/reference_file.h"
#include "tests/unit/contacts/reference_table.h"

using namespace noonfall;
using namespace noonfall::contacts;

namespace {

double value_at(const Series& series, double t) {
  double value = 0;
  for (auto n = series.size(); n-- > 0;) value = value * t + series[n];
  return value;
}

double rate_at(const Series& series, double t) {
  return (value_at(series, t + 0.01) - value_at(series, t - 0.01)) / 0.02;
}

/// Coefficients `name`0, `name`1, … as far as the row has them.
Series series_of(const reference::Row& row, const std::string& name) {
  Series series{};
  for (std::size_t n = 0; n < series.size(); ++n) {
    const auto cell = row.find(name + std::to_string(n));
    if (cell != row.end()) series[n] = std::stod(cell->second);
  }
  return series;
}

struct Range {
  double least = 1e9;
  double greatest = -1e9;
  void take(double value) {
    least = std::min(least, value);
    greatest = std::max(greatest, value);
  }
  [[nodiscard]] double farthest() const { return std::max(std::abs(least), std::abs(greatest)); }
};

/// What NASA's set differs by within t0 ± 3 h, for which it is made.
struct Differences {
  Range late_s;     // its shadow comes so much later
  Range across_km;  // and passes so far aside
  Range d_arcsec, mu_arcsec, l1, l2;
};

Differences differences(const reference::Row& row, const Elements& ours) {
  Differences differ;
  const auto x = series_of(row, "x");
  const auto y = series_of(row, "y");
  for (double t = -3; t <= 3; t += 0.25) {
    const double apart_x = value_at(x, t) - value_at(ours.x, t);
    const double apart_y = value_at(y, t) - value_at(ours.y, t);
    const double rate_x = rate_at(ours.x, t);
    const double rate_y = rate_at(ours.y, t);
    const double speed = std::hypot(rate_x, rate_y);
    differ.late_s.take(-(apart_x * rate_x + apart_y * rate_y) / (speed * speed) * 3600);
    differ.across_km.take((apart_y * rate_x - apart_x * rate_y) / speed * earth_radius.value / 1000);
    differ.d_arcsec.take((value_at(series_of(row, "d"), t) - value_at(ours.d, t)) * 3600);
    differ.mu_arcsec.take((value_at(series_of(row, "mu"), t) - value_at(ours.mu, t)) * 3600);
    differ.l1.take(value_at(series_of(row, "l1"), t) - value_at(ours.l1, t));
    differ.l2.take(value_at(series_of(row, "l2"), t) - value_at(ours.l2, t));
  }
  return differ;
}

/// Calls `check(differences)` for each of NASA's sets made with `ephemeris`.
void each_of(const std::string& ephemeris, int count, const auto& check) {
  for (const auto& row : reference::read_table("nasa_elements.csv")) {
    if (row.at("ephemeris") != ephemeris) continue;
    CAPTURE(row.at("date"));
    const auto* ours = find_elements(built_in_elements(), *parse_date(row.at("date")));
    REQUIRE(ours != nullptr);
    REQUIRE(ours->t0_h == std::stod(row.at("t0_tt_hour")));
    CHECK(std::abs(ours->tan_f1 - std::stod(row.at("tan_f1"))) < 1e-7);
    CHECK(std::abs(ours->tan_f2 - std::stod(row.at("tan_f2"))) < 1e-7);
    check(differences(row, *ours));
    --count;
  }
  CHECK(count == 0);
}

}  // namespace

TEST_CASE("NASA's sets from VSOP87/ELP2000-82 agree within 0.045 s along the track and 0.05 km across") {
  each_of("VSOP87/ELP2000-82", 8, [](const Differences& differ) {
    CHECK(differ.late_s.farthest() < 0.0455);
    CHECK(differ.across_km.farthest() < 0.05);
    CHECK(differ.d_arcsec.farthest() < 0.07);
    CHECK(differ.mu_arcsec.farthest() < 0.1);
    CHECK(differ.l1.farthest() < 1.6e-6);  // seven printed decimals of degree two
    CHECK(differ.l2.farthest() < 1.6e-6);
  });
}

TEST_CASE("NASA's older set for 2027 August 2 comes 0.73 s early, as is known of its ephemeris") {
  each_of("VSOP87/ELP2000-85", 1, [](const Differences& differ) {
    CHECK(differ.late_s.least > -0.76);
    CHECK(differ.late_s.greatest < -0.70);
  });
}

TEST_CASE("NASA's bulletins from DE200 are early too, and turn with the mean sidereal time") {
  each_of("DE200/LE200", 2, [](const Differences& differ) {
    CHECK(differ.late_s.least > -0.20);
    CHECK(differ.late_s.greatest < -0.05);
    CHECK(differ.across_km.farthest() < 0.05);
    // the equation of the equinoxes, 17.2" × sin of the node's longitude × 0.917 at most
    CHECK(differ.mu_arcsec.greatest - differ.mu_arcsec.least < 0.1);
    CHECK(differ.mu_arcsec.least > 1);
    CHECK(differ.mu_arcsec.greatest < 15.8);
    CHECK(differ.l2.farthest() < 2e-6);  // one k2; k1 is another
  });
}

TEST_CASE("another computation from DE405 gives the same elements for 2017 to 2060") {
  const auto path = tests::reference_file("reference/elements_de405.csv");
  if (!path) return;
  int compared = 0;
  for (const auto& row : reference::read_csv(*path)) {
    CAPTURE(row.at("date"));
    // that table counts hours from the day t0 is in, so greatest eclipse may be on the day before
    const auto day = std::chrono::sys_days{*parse_date(row.at("date"))};
    const auto* ours = find_elements(built_in_elements(), Date{day});
    if (ours == nullptr) ours = find_elements(built_in_elements(), Date{day - std::chrono::days{1}});
    REQUIRE(ours != nullptr);
    const double later_h = static_cast<double>((day - std::chrono::sys_days{ours->date}).count()) * 24;
    CHECK(to_text(ours->type).front() == std::tolower(row.at("type").front()));
    CHECK(ours->t0_h == std::stod(row.at("t0_tt_hour")) + later_h);
    CHECK(std::abs(ours->greatest_h - std::stod(row.at("greatest_tt_h")) - later_h) < 6e-6);
    CHECK(std::abs(ours->gamma - std::stod(row.at("gamma"))) < 1.1e-6);
    CHECK(std::abs(ours->tan_f1 - std::stod(row.at("tan_f1"))) < 1e-10);
    CHECK(std::abs(ours->tan_f2 - std::stod(row.at("tan_f2"))) < 1e-10);
    for (double t = -4; t <= 4; t += 0.5) {
      CHECK(std::abs(value_at(ours->x, t) - value_at(series_of(row, "x"), t)) < 3e-9);  // 2 cm
      CHECK(std::abs(value_at(ours->y, t) - value_at(series_of(row, "y"), t)) < 3e-9);
      CHECK(std::abs(value_at(ours->l1, t) - value_at(series_of(row, "l1"), t)) < 1e-9);
      CHECK(std::abs(value_at(ours->l2, t) - value_at(series_of(row, "l2"), t)) < 1e-9);
      CHECK(std::abs(value_at(ours->d, t) - value_at(series_of(row, "d"), t)) < 1e-8);
      CHECK(std::abs(value_at(ours->mu, t) - value_at(series_of(row, "mu"), t)) < 1e-7);
    }
    ++compared;
  }
  CHECK(compared == 99);
}
