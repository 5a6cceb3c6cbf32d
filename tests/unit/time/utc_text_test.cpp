#include "lib/time/utc_text.h"

#include <doctest/doctest.h>

using namespace noonfall;
using namespace std::chrono_literals;

TEST_CASE("ISO 8601 instants are read to the microsecond and written to the millisecond") {
  const auto instant = parse_utc("2027-08-02T08:51:12.345678Z");
  REQUIRE(instant);
  CHECK(to_text(*instant) == "2027-08-02T08:51:12.346Z");
  CHECK(to_text_us(*instant) == "2027-08-02T08:51:12.345678Z");
  CHECK(to_clock_text(*instant, 1) == "08:51:12.3");
  CHECK(to_clock_text(*instant, 0) == "08:51:12");
  CHECK(parse_utc("2027-08-02 08:51:12Z") == parse_utc("2027-08-02T08:51:12.0Z"));
}

TEST_CASE("rounding carries into the next day and year") {
  CHECK(to_text(*parse_utc("2027-12-31T23:59:59.9996Z")) == "2028-01-01T00:00:00.000Z");
  CHECK(to_clock_text(*parse_utc("2027-12-31T23:59:59.96Z"), 1) == "00:00:00.0");
  CHECK(to_text(*parse_utc("1969-12-31T23:59:59.9996Z")) == "1970-01-01T00:00:00.000Z");
}

TEST_CASE("texts that aren't UTC instants are refused") {
  for (const auto* text : {"", "2027-08-02", "2027-08-02T08:51:12", "2027-08-02T08:51:12+02:00",
                           "2027-02-29T00:00:00Z", "2027-08-02T24:00:00Z", "2027-08-02T23:59:60Z",
                           "2027-8-2T1:2:3Z", "1899-01-01T00:00:00Z", "2027-08-02T08:51:12.Z",
                           "2027-08-02T08:51:12.1234567Z", "2027-08-02T08:51:1", "2027-08-02T08:51:12.3Zx"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_utc(text));
  }
}

TEST_CASE("dates know leap years") {
  CHECK(parse_date("2028-02-29"));
  CHECK_FALSE(parse_date("2027-02-29"));
  CHECK(to_text(*parse_date("2027-08-02")) == "2027-08-02");
}
