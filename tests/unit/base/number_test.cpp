#include "lib/base/number.h"

#include <doctest/doctest.h>

using namespace noonfall;

TEST_CASE("a plain decimal number is read, any other spelling is refused with its reason") {
  CHECK(parse_decimal("-3.25") == -3.25);
  CHECK(parse_decimal("+0.5") == 0.5);
  CHECK(parse_decimal("0") == 0.0);
  for (const auto* text :
       {"", "-", ".5", "5.", "1e3", "0x10", "1_000", "1,5", "inf", "nan", " 1", "1 ", "--1", "1.2.3"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_decimal(text));
    CHECK(why_not_a_number(text) == "is not a plain decimal number");
  }
  CHECK_FALSE(parse_decimal("0700"));
  CHECK(why_not_a_number("0700") == "has a leading zero");
  CHECK(why_not_a_number("1234567890123456789") == "has too many digits");
  CHECK(why_not_a_number("12.5").empty());
}

TEST_CASE("an integer has no fraction") {
  CHECK(parse_integer("-12") == -12);
  CHECK(parse_integer("+7") == 7);
  CHECK(parse_integer("999999999999999999") == 999'999'999'999'999'999);
  CHECK_FALSE(parse_integer("1000000000000000000"));
  CHECK_FALSE(parse_integer("12.0"));
  CHECK_FALSE(parse_integer("012"));
}

TEST_CASE("trim takes ASCII space from both ends only") {
  CHECK(trim("\t a b \r\n") == "a b");
  CHECK(trim(" \t").empty());
}
