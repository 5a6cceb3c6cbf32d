#include "tests/elements_maker/fitted_elements.h"

#include <algorithm>
#include <cmath>

#include "tests/elements_maker/axis_path.h"
#include "tests/elements_maker/fit.h"

namespace noonfall::elements_maker {
namespace {

using contacts::Elements;

constexpr int mjd_of_1970 = 40587;

Tt to_tt_count(const Epoch& tt) {
  return {from_seconds((tt.mjd - mjd_of_1970) * 86400 + tt.hours * 3600)};
}

Date utc_date(const Epoch& tt) {
  return Date{std::chrono::floor<std::chrono::days>(to_utc(to_tt_count(tt), built_in_leap_seconds()))};
}

double mjd_of(Date date) {
  return static_cast<double>(std::chrono::sys_days{date}.time_since_epoch().count() + mjd_of_1970);
}

struct Courses {
  std::array<double, fit_points> x, y, d, l1, l2, mu;
};

Courses follow(const Ephemeris& ephemeris, const Radii& radii, const Epoch& t0, double mu0) {
  Courses courses{};
  for (std::size_t n = 0; n < fit_points; ++n) {
    const double hours = fit_hours()[n];
    const auto now = shadow_now(apparent_places(ephemeris, t0.later_by(hours)), radii);
    courses.x[n] = now.x;
    courses.y[n] = now.y;
    courses.d[n] = now.d;
    courses.l1[n] = now.l1;
    courses.l2[n] = now.l2;
    const double turned = mu0 + 15 * hours;  // to within a minute of arc: tells which turn mu is in
    courses.mu[n] = turned + std::remainder(now.mu - turned, 360);
  }
  return courses;
}

}  // namespace

Elements fitted_elements(const Ephemeris& ephemeris, const GreatestEclipse& greatest) {
  const auto radii = usual_radii(ephemeris.au_km());
  Elements elements;
  elements.date = utc_date(greatest.tt);
  elements.source = "DE405";
  elements.gamma = greatest.gamma;
  elements.greatest_h = (greatest.tt.mjd - mjd_of(elements.date)) * 24 + greatest.tt.hours;
  elements.t0_h = std::clamp(std::round(elements.greatest_h), 0.0, 24.0);
  const Epoch t0{mjd_of(elements.date), elements.t0_h};
  const auto now = shadow_now(apparent_places(ephemeris, t0), radii);
  elements.tan_f1 = now.tan_f1;
  elements.tan_f2 = now.tan_f2;
  const auto courses = follow(ephemeris, radii, t0, now.mu);
  elements.x = fit(courses.x);
  elements.y = fit(courses.y);
  elements.d = fit(courses.d);
  elements.l1 = fit(courses.l1);
  elements.l2 = fit(courses.l2);
  elements.mu = fit(courses.mu);
  elements.k1 = radii.k1;
  elements.k2 = radii.k2;
  elements.type = type_of(elements);
  return elements;
}

std::vector<Elements> elements_of_years(const Ephemeris& ephemeris, int first_year, int last_year) {
  const auto start = [](int year) { return mjd_of(std::chrono::year{year} / std::chrono::January / 1); };
  std::vector<Elements> table;
  // a day more on each side: TT and UTC change years a minute apart
  for (const auto& greatest : find_eclipses(ephemeris, start(first_year) - 1, start(last_year + 1) + 1)) {
    const int year = static_cast<int>(utc_date(greatest.tt).year());
    if (year >= first_year && year <= last_year) table.push_back(fitted_elements(ephemeris, greatest));
  }
  return table;
}

}  // namespace noonfall::elements_maker
