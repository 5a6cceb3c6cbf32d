#include <cmath>

#include <doctest/doctest.h>

#include "lib/contacts/earth_rotation.h"
#include "lib/contacts/settings.h"
#include "lib/time/utc_text.h"

using namespace noonfall;
using namespace noonfall::contacts;

namespace {

EarthRotation on(const char* day) {
  return expected_rotation(*parse_utc(std::string{day} + "T00:00:00Z"), built_in_leap_seconds());
}

}  // namespace

TEST_CASE("UT1-UTC of days of the past is what the IERS has measured") {
  // IERS 14 C04 (62 NOW), daily values, as Debian 12's python3-astropy carries the file.
  struct Day {
    const char* day;
    double dut1_s;
  };
  for (const auto& [day, dut1_s] :
       {Day{"1979-02-26", 0.4340862}, Day{"1991-07-11", 0.2139802}, Day{"1994-05-10", -0.1191808},
        Day{"1999-08-11", 0.5048816}, Day{"2001-06-21", -0.0253233}, Day{"2002-12-04", -0.2704282},
        Day{"2005-12-31", -0.6611087}, Day{"2006-01-01", 0.3388662}, Day{"2006-03-29", 0.2719039},
        Day{"2017-08-21", 0.3399784}, Day{"2019-07-02", -0.1738182}, Day{"2020-12-14", -0.1803677}}) {
    CAPTURE(day);
    const auto found = on(day);
    CHECK(std::abs(in_seconds(found.dut1) - dut1_s) < in_seconds(found.error));
    CHECK(in_seconds(found.error) == doctest::Approx(0.02));
    CHECK(found.leap_second_error == Duration{});
  }
}

TEST_CASE("before leap seconds UTC itself followed the Earth") {
  // C04: UT1-UTC 0.0326338 s on 1962-01-01, and within 0.1 s until 1968.
  CHECK(on("1962-01-01").dut1 == Duration{});
  CHECK(in_seconds(on("1962-01-01").error) == doctest::Approx(0.2));
}

TEST_CASE("a guess gets worse the farther it reaches") {
  const auto soon = on("2026-08-12");
  const auto later = on("2027-08-02");
  const auto far = on("2045-08-12");
  CHECK(soon.error > on("2024-04-08").error);
  CHECK(later.error > soon.error);
  CHECK(far.error > later.error);
  CHECK(in_seconds(far.error) <= 0.9);
  CHECK(std::abs(in_seconds(far.dut1)) <= 0.9);
  CHECK(later.leap_second_error == Duration{});
}

TEST_CASE("far ahead as many leap seconds are counted as have come in as many years") {
  // IERS Bulletin C: from 1972 to 2017 there were 27 of them, 10 in the first ten years, 5 from 1999 on.
  CHECK(in_seconds(on("2028-01-26").leap_second_error) == 1);
  CHECK(in_seconds(on("2035-09-02").leap_second_error) >= 5);
  CHECK(in_seconds(on("2045-08-12").leap_second_error) >= 10);
  const auto last = on("2060-10-24");
  CHECK(in_seconds(last.leap_second_error) >= 20);
  CHECK(in_seconds(last.leap_second_error) <= 35);
  // nothing is known of UT1-UTC then but that it is kept small
  CHECK(last.dut1 == Duration{});
  CHECK(in_seconds(last.error) == doctest::Approx(0.9));
}

TEST_CASE("what a bulletin gives replaces the guess") {
  const auto when = *parse_utc("2045-08-12T17:00:00Z");
  const auto settings = settings_for(built_in_leap_seconds(), when, from_seconds(-0.123));
  CHECK(in_seconds(settings.dut1) == doctest::Approx(-0.123));
  CHECK(in_seconds(settings.dut1_error) == doctest::Approx(0.02));
  CHECK(settings.leap_second_error == Duration{});
}
