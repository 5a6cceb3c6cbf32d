#include "lib/time/time_scales.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/base/number.h"

namespace noonfall {
namespace {

using namespace std::chrono;

constexpr std::int64_t ntp_to_unix_s = 2'208'988'800;  // 1900-01-01 to 1970-01-01, RFC 5905

constexpr Utc at(int y, unsigned m, unsigned d) {
  return sys_days{year{y} / month{m} / day{d}};
}

Utc from_ntp(std::int64_t ntp_s) {
  return Utc{seconds{ntp_s - ntp_to_unix_s}};
}

Diagnostic bad_line(int line, std::string message, std::string hint) {
  return error_at({line, line > 0 ? 1 : 0}, "leap-seconds", std::move(message), std::move(hint));
}

std::string_view first_word(std::string_view text) {
  return text.substr(0, text.find_first_of(" \t"));
}

}  // namespace

const LeapSeconds& built_in_leap_seconds() {
  static const LeapSeconds table{
      {{at(1972, 1, 1), 10}, {at(1972, 7, 1), 11}, {at(1973, 1, 1), 12}, {at(1974, 1, 1), 13},
       {at(1975, 1, 1), 14}, {at(1976, 1, 1), 15}, {at(1977, 1, 1), 16}, {at(1978, 1, 1), 17},
       {at(1979, 1, 1), 18}, {at(1980, 1, 1), 19}, {at(1981, 7, 1), 20}, {at(1982, 7, 1), 21},
       {at(1983, 7, 1), 22}, {at(1985, 7, 1), 23}, {at(1988, 1, 1), 24}, {at(1990, 1, 1), 25},
       {at(1991, 1, 1), 26}, {at(1992, 7, 1), 27}, {at(1993, 7, 1), 28}, {at(1994, 7, 1), 29},
       {at(1996, 1, 1), 30}, {at(1997, 7, 1), 31}, {at(1999, 1, 1), 32}, {at(2006, 1, 1), 33},
       {at(2009, 1, 1), 34}, {at(2012, 7, 1), 35}, {at(2015, 7, 1), 36}, {at(2017, 1, 1), 37}},
      at(2026, 6, 28)};
  return table;
}

Result<LeapSeconds> parse_leap_seconds(std::string_view text) {
  LeapSeconds table{.steps = {}, .valid_until = Utc::min()};
  for (int line = 1; !text.empty(); ++line) {
    const auto end = std::min(text.find('\n'), text.size());
    auto row = trim(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
    const bool expiry = row.starts_with("#@");
    if (row.empty() || (row.front() == '#' && !expiry)) continue;
    if (expiry) row = trim(row.substr(2));
    const auto ntp_s = parse_integer(first_word(row));
    if (!ntp_s || *ntp_s < 0 || *ntp_s > 10'000'000'000) {
      return fail(
          bad_line(line, fmt::format("\"{}\" is not an NTP time", first_word(row)), "seconds since 1900"));
    }
    if (expiry) {
      table.valid_until = from_ntp(*ntp_s);
      continue;
    }
    const auto count = parse_integer(first_word(trim(row.substr(first_word(row).size()))));
    const bool follows = table.steps.empty() || (from_ntp(*ntp_s) > table.steps.back().from && count &&
                                                 std::abs(*count - table.steps.back().tai_minus_utc_s) == 1);
    if (!count || *count < 0 || *count > 200 || !follows) {
      return fail(bad_line(line, "the row doesn't follow from the one before",
                           "later instants, TAI - UTC changing by one second a row"));
    }
    table.steps.push_back({from_ntp(*ntp_s), static_cast<int>(*count)});
  }
  if (table.steps.empty() || table.valid_until == Utc::min()) {
    return fail(
        bad_line(0, "no leap seconds or no expiry in the list", "the leap-seconds.list of tzdata or IERS"));
  }
  return table;
}

int tai_minus_utc_s(const LeapSeconds& table, Utc instant) {
  const auto after =
      std::upper_bound(table.steps.begin(), table.steps.end(), instant,
                       [](Utc when, const LeapSeconds::Step& step) { return when < step.from; });
  return after == table.steps.begin() ? table.steps.front().tai_minus_utc_s
                                      : std::prev(after)->tai_minus_utc_s;
}

Tt to_tt(Utc instant, const LeapSeconds& leaps) {
  return {instant.time_since_epoch() + std::chrono::seconds{tai_minus_utc_s(leaps, instant)} + tt_minus_tai};
}

Utc to_utc(Tt instant, const LeapSeconds& leaps) {
  const Utc tai{instant.since_1970 - tt_minus_tai};
  const Utc guess = tai - std::chrono::seconds{tai_minus_utc_s(leaps, tai)};
  return tai - std::chrono::seconds{tai_minus_utc_s(leaps, guess)};
}

Ut1 to_ut1(Utc instant, Duration dut1) {
  return {instant.time_since_epoch() + dut1};
}

Duration delta_t(Utc instant, Duration dut1, const LeapSeconds& leaps) {
  return to_tt(instant, leaps).since_1970 - to_ut1(instant, dut1).since_1970;
}

}  // namespace noonfall
