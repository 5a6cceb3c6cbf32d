#include <doctest/doctest.h>

#include "lib/plan/instant_text.h"

namespace noonfall::plan {

TEST_CASE("stops are read and written") {
  const auto back = [](const char* text) {
    return parse_stops(text) ? to_text(*parse_stops(text)) : "refused";
  };
  CHECK(back("1 stop") == "1 stop");
  CHECK(back("1stop") == "1 stop");
  CHECK(back("2 stops") == "2 stops");
  CHECK(back("1/3 stop") == "1/3 stop");
  CHECK(back("4/3 stops") == "4/3 stops");
  CHECK(back("1/2 stop") == "0.5 stop");
  CHECK(back("0.1 stop") == "0.1 stop");
  CHECK(back("10 stops") == "10 stops");
  for (const auto* text : {"1", "stop", "0 stops", "0.09 stop", "10.1 stops", "-1 stop", "1/4 stop",
                           "1/0 stop", "/3 stop", "1e0 stop", "1 stop more"}) {
    CAPTURE(text);
    CHECK(back(text) == "refused");
  }
}

TEST_CASE("instants are written in one way") {
  const auto back = [](const char* text) { return to_text(Instant{*parse_instant(text), {}}); };
  CHECK(back("C2-8s") == "C2 - 8 s");
  CHECK(back("C2 + 0 s") == "C2");
  CHECK(back("MID+90s") == "MID + 1 min 30 s");
  CHECK(back("MID-0.25% of totality") == "MID - 0.25 % of totality");
  CHECK(back("2027-08-02 08:45:00Z") == "2027-08-02T08:45:00.000000Z");
}

TEST_CASE("a decimal is written without an exponent, and as short as it can be") {
  CHECK(decimal_text(36.0139) == "36.0139");
  CHECK(decimal_text(-5) == "-5");
  CHECK(decimal_text(0.00001) == "0.00001");
  CHECK(decimal_text(0.1 + 0.2) == "0.30000000000000004");
}

}  // namespace noonfall::plan
