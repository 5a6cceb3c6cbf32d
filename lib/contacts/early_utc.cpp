#include "lib/contacts/early_utc.h"

#include <algorithm>
#include <array>

#include "lib/time/time_scales.h"

namespace noonfall::contacts {
namespace {

using namespace std::chrono;

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

std::optional<Duration> early_tt_minus_utc(Date date) {
  if (date < stretches.front().from || date >= 1972y / January / 1) return std::nullopt;
  const auto stretch = stretch_at(date);
  const auto day = sys_days{date}.time_since_epoch().count() + mjd_of_1970;
  const double tai_minus_utc_s =
      stretch.at_epoch_s + (static_cast<double>(day - stretch.epoch_mjd) + 0.5) * stretch.a_day_s;
  return tt_minus_tai + from_seconds(tai_minus_utc_s);
}

}  // namespace noonfall::contacts
