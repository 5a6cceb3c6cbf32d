#include "lib/contacts/parse_sites.h"

#include <doctest/doctest.h>

using namespace noonfall;
using namespace noonfall::contacts;

TEST_CASE("a list of sites is read in order") {
  const auto sites =
      parse_sites("latitude,longitude,elevation_m\n36.0139,-5.6033,12\n-90, 180 ,-400\n", "s.csv");
  REQUIRE(sites);
  CHECK(*sites == std::vector<Site>{{{36.0139}, {-5.6033}, {12}}, {{-90}, {180}, {-400}}});
}

TEST_CASE("every wrong cell of a list of sites is reported with its place") {
  const auto sites =
      parse_sites("latitude,longitude,elevation_m\n95,-5.6,12\n36,x,12\n36,-5\n1,2,30000\n", "s.csv");
  REQUIRE_FALSE(sites);
  CHECK(to_text(sites.error()) ==
        "s.csv:2:1: error: latitude is 95\n"
        "    2 | 95,-5.6,12\n"
        "      | ^\n"
        "  wanted: -90 to 90\n"
        "s.csv:3:4: error: longitude \"x\" is not a plain decimal number\n"
        "    3 | 36,x,12\n"
        "      |    ^\n"
        "  wanted: a plain decimal number\n"
        "s.csv:4:1: error: 2 cells\n"
        "    4 | 36,-5\n"
        "      | ^\n"
        "  wanted: 3: latitude,longitude,elevation_m\n"
        "s.csv:5:5: error: elevation_m is 30000\n"
        "    5 | 1,2,30000\n"
        "      |     ^\n"
        "  wanted: -500 to 20000\n");
}

TEST_CASE("a list of sites without its header is refused at once") {
  const auto sites = parse_sites("36,-5,12\n", "s.csv");
  REQUIRE_FALSE(sites);
  CHECK(sites.error().size() == 1);
  CHECK(sites.error().front().hint == "latitude,longitude,elevation_m");
}
