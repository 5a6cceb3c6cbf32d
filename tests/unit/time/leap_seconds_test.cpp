#include "lib/time/time_scales.h"

#include <doctest/doctest.h>

#include "lib/time/utc_text.h"

using namespace noonfall;
using namespace std::chrono_literals;

TEST_CASE("the built-in table is IERS Bulletin C's") {
  // IERS Bulletin C 52 (2016): 36 s to 2016-12-31, 37 s from 2017-01-01; Bulletin C 1 (1972): 10 s.
  const auto& table = built_in_leap_seconds();
  CHECK(tai_minus_utc_s(table, *parse_utc("2016-12-31T23:59:59.999999Z")) == 36);
  CHECK(tai_minus_utc_s(table, *parse_utc("2017-01-01T00:00:00Z")) == 37);
  CHECK(tai_minus_utc_s(table, *parse_utc("1972-01-01T00:00:00Z")) == 10);
  CHECK(table.steps.size() == 28);  // 10 s at the start and 27 leap seconds since
}

TEST_CASE("a leap-seconds.list is read, comments and expiry included") {
  // Rows and expiry as tzdata's 2024b list prints them; 3692217600 is 2017-01-01 in NTP seconds.
  const auto table = parse_leap_seconds(
      "# comment\n#@\t3960057600\n3644697600\t36\t# 1 Jul 2015\n3692217600\t37\t# 1 Jan 2017\n");
  REQUIRE(table);
  CHECK(table->valid_until == parse_utc("2025-06-28T00:00:00Z"));
  CHECK(table->steps.back() == LeapSeconds::Step{*parse_utc("2017-01-01T00:00:00Z"), 37});
}

TEST_CASE("a damaged list is refused with the line") {
  const auto text_of = [](std::string_view list) { return to_text(parse_leap_seconds(list).error()); };
  CHECK(
      text_of("") ==
      "error: no leap seconds or no expiry in the list\n  wanted: the leap-seconds.list of tzdata or IERS\n");
  CHECK(text_of("#@ 3960057600\nx 37\n") ==
        ":2:1: error: \"x\" is not an NTP time\n  wanted: seconds since 1900\n");
  CHECK(text_of("#@ 3960057600\n3644697600 36\n3692217600 38\n") ==
        ":3:1: error: the row doesn't follow from the one before\n"
        "  wanted: later instants, TAI - UTC changing by one second a row\n");
}

TEST_CASE("TT is UTC + 69.184 s since 2017, and back") {
  const auto utc = *parse_utc("2027-08-02T10:00:00Z");
  const auto& table = built_in_leap_seconds();
  CHECK(to_tt(utc, table).since_1970 - utc.time_since_epoch() == 69'184ms);
  CHECK(to_utc(to_tt(utc, table), table) == utc);
  CHECK(delta_t(utc, 50ms, table) == 69'134ms);
  for (const auto* edge : {"2016-12-31T23:59:59.999999Z", "2017-01-01T00:00:00Z"}) {
    CHECK(to_utc(to_tt(*parse_utc(edge), table), table) == parse_utc(edge));
  }
}
