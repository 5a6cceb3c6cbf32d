#include "lib/contacts/earth_rotation.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "lib/base/number.h"
#include "lib/contacts/csv.h"
#include "lib/time/time_scales.h"
#include "lib/time/utc_text.h"

namespace noonfall::embedded {
std::string_view delta_t_csv();  // made from delta_t.csv by the build
}

namespace noonfall::contacts {
namespace {

using namespace std::chrono;

struct Entry {
  Utc day;
  double delta_t_s;
  double error_s;
};

constexpr double year_s = 365.25 * 86400;

std::vector<Entry> read_table() {
  std::vector<Entry> table;
  CsvReader lines{embedded::delta_t_csv()};
  CsvRow row;
  lines.next(row);
  while (lines.next(row)) {
    table.push_back({std::chrono::sys_days{*parse_date(row[0].text)}, *parse_decimal(row[1].text),
                     *parse_decimal(row[2].text)});
  }
  return table;
}

/// TT − UT1 by the line through two entries.
double on_line(const Entry& a, const Entry& b, Utc instant) {
  const double part = in_seconds(instant - a.day) / in_seconds(b.day - a.day);
  return a.delta_t_s + part * (b.delta_t_s - a.delta_t_s);
}

/// How far such a trend is off after so many years: 95 % of all two-year trends of IERS 14 C04 from 1975 on
/// were within 0.21 s after one year, 0.51 after two, 0.88 after three, 1.81 after five.
double trend_error_s(double years) {
  return 0.2 * std::pow(years, 1.4);
}

struct DeltaT {
  double value_s;
  double error_s;
};

DeltaT delta_t_at(Utc instant) {
  static const auto table = read_table();
  constexpr std::size_t two_years = 8;
  const auto& last = table.back();
  if (instant >= last.day) {
    const double years = in_seconds(instant - last.day) / year_s;
    return {on_line(table[table.size() - 1 - two_years], last, instant), last.error_s + trend_error_s(years)};
  }
  const auto after = std::upper_bound(table.begin(), table.end(), instant,
                                      [](Utc at, const Entry& entry) { return at < entry.day; });
  return {on_line(after[-1], *after, instant), std::max(after[-1].error_s, after->error_s)};
}

/// TAI − UTC from this day on: `at_epoch_s`, and so much more for each day from the epoch. IERS,
/// "Relationship between TAI and UTC" (tai-utc.dat of the US Naval Observatory).
struct Stretch {
  year_month_day from;
  double at_epoch_s;
  int epoch_mjd;
  double a_day_s;
};

constexpr std::array<Stretch, 14> stretches{{
    {1960y / January / 1, 1.417'818, 37300, 0.001'296},
    {1961y / January / 1, 1.422'818, 37300, 0.001'296},
    {1961y / August / 1, 1.372'818, 37300, 0.001'296},
    {1962y / January / 1, 1.845'858, 37665, 0.001'123'2},
    {1963y / November / 1, 1.945'858, 37665, 0.001'123'2},
    {1964y / January / 1, 3.240'13, 38761, 0.001'296},
    {1964y / April / 1, 3.340'13, 38761, 0.001'296},
    {1964y / September / 1, 3.440'13, 38761, 0.001'296},
    {1965y / January / 1, 3.540'13, 38761, 0.001'296},
    {1965y / March / 1, 3.640'13, 38761, 0.001'296},
    {1965y / July / 1, 3.740'13, 38761, 0.001'296},
    {1965y / September / 1, 3.840'13, 38761, 0.001'296},
    {1966y / January / 1, 4.313'17, 39126, 0.002'592},
    {1968y / February / 1, 4.213'17, 39126, 0.002'592},
}};
constexpr int mjd_of_1970 = 40587;

/// `date` isn't before the first.
Stretch stretch_at(Date date) {
  const auto after = std::upper_bound(stretches.begin(), stretches.end(), date,
                                      [](Date when, const Stretch& each) { return when < each.from; });
  return *std::prev(after);
}

}  // namespace

EarthRotation expected_rotation(Utc instant, const LeapSeconds& leap_seconds) {
  constexpr double most_s = 0.9;          // ITU-R TF.460: leap seconds keep UT1 − UTC below it
  constexpr double tempting_s = 0.75;     // leap seconds from 1999 on came at 0.41 to 0.68 s (IERS 14 C04)
  constexpr double before_leaps_s = 0.2;  // UTC followed UT1 by small steps then
  constexpr double one_sided = 0.84;      // 95 % on one side, of 95 % on both
  if (instant < leap_seconds.steps.front().from) return {.error = from_seconds(before_leaps_s)};
  const auto expected = delta_t_at(instant);
  const double free_s = in_seconds(tt_minus_tai) + tai_minus_utc_s(leap_seconds, instant) - expected.value_s;
  if (instant < leap_seconds.valid_until) {
    return {.dut1 = from_seconds(free_s), .error = from_seconds(expected.error_s)};
  }
  const double leaps_s =
      std::ceil(std::max(std::abs(free_s) + one_sided * expected.error_s - tempting_s, 0.0));
  if (leaps_s > 1) return {.error = from_seconds(most_s), .leap_second_error = from_seconds(leaps_s)};
  return {from_seconds(std::clamp(free_s, -most_s, most_s)), from_seconds(std::min(expected.error_s, most_s)),
          from_seconds(leaps_s)};
}

std::optional<Duration> early_tt_minus_utc(Date date) {
  if (date < stretches.front().from || date >= 1972y / January / 1) return std::nullopt;
  const auto stretch = stretch_at(date);
  const auto day = sys_days{date}.time_since_epoch().count() + mjd_of_1970;
  const double tai_minus_utc_s =
      stretch.at_epoch_s + (static_cast<double>(day - stretch.epoch_mjd) + 0.5) * stretch.a_day_s;
  return tt_minus_tai + from_seconds(tai_minus_utc_s);
}

}  // namespace noonfall::contacts
