#include "daemon/clock/span_words.h"

#include <doctest/doctest.h>

namespace noonfall::clock {

using namespace std::chrono_literals;

TEST_CASE("spans are told as finely as they matter") {
  CHECK(span_words(49us) == "under 0.1 ms");
  CHECK(span_words(50us) == "0.1 ms");
  CHECK(span_words(3217us) == "3.2 ms");
  CHECK(span_words(9949us) == "9.9 ms");
  CHECK(span_words(9950us) == "10 ms");
  CHECK(span_words(300ms) == "300 ms");
  CHECK(span_words(999499us) == "999 ms");
  CHECK(span_words(999500us) == "1.000 s");
  CHECK(span_words(-1003ms) == "1.003 s");
  CHECK(span_words(60s) == "1 min");
  CHECK(span_words(3599900ms) == "1 h");
  CHECK(span_words(48h) == "2 days");
}

TEST_CASE("shifts have a direction") {
  CHECK(shift_words(1003ms) == "1.003 s forward");
  CHECK(shift_words(-1h) == "1 h back");
}

}  // namespace noonfall::clock
