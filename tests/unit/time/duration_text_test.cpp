#include "lib/time/duration_text.h"

#include <doctest/doctest.h>

using namespace noonfall;
using namespace std::chrono_literals;

TEST_CASE("durations are read with their units") {
  CHECK(parse_duration("250 ms") == Duration{250ms});
  CHECK(parse_duration("10s") == Duration{10s});
  CHECK(parse_duration("1 min 30 s") == Duration{90s});
  CHECK(parse_duration("2 h") == Duration{2h});
  CHECK(parse_duration("1.5 s") == Duration{1500ms});
  CHECK(parse_duration("0 s") == Duration{0});
}

TEST_CASE("what isn't clearly a duration is refused") {
  for (const auto* text : {"", "10", "s", "-1 s", "1 s 1 min", "1 s 1 s", "1.5 min 1 s", "1 day", "1:30",
                           "1001 h", "010 s", "1 s ", "1e3 s", "10 s5"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_duration(text));
  }
}

TEST_CASE("the text of a duration reads back to the same value") {
  CHECK(to_text(Duration{90s}) == "1 min 30 s");
  CHECK(to_text(Duration{1h}) == "1 h");
  CHECK(to_text(Duration{0}) == "0 s");
  CHECK(to_text(Duration{-8s}) == "-8 s");
  for (const std::int64_t us :
       {1LL, 999LL, 1'000LL, 1'500LL, 999'999LL, 1'000'000LL, 1'000'001LL, 59'999'999LL, 60'000'000LL,
        3'599'000'000LL, 3'600'000'001LL, 86'399'999'999LL}) {
    CAPTURE(us);
    CHECK(parse_duration(to_text(Duration{us})) == Duration{us});
  }
}
