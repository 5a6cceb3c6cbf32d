#include "lib/run/body_pace.h"

#include <chrono>

#include <doctest/doctest.h>

using namespace noonfall;
using namespace noonfall::run;
using namespace std::chrono_literals;

namespace {

Pace after_seeing(Duration predicted, Duration real, int times) {
  Pace pace;
  for (int n = 0; n < times; ++n) pace.saw(predicted, real);
  return pace;
}

}  // namespace

TEST_CASE("a pace that has seen nothing trusts the prediction") {
  CHECK(Pace{}.stretched(7s) == 7s);
  CHECK(Pace{}.stretched(0s) == 0s);
}

TEST_CASE("a pace stretches by what it has seen, down as well as up") {
  CHECK(after_seeing(2s, 3s, 1).stretched(4s) == 6s);
  CHECK(after_seeing(2s, 1s, 1).stretched(4s) == 2s);
  CHECK(after_seeing(2s, 3s, 50).stretched(4s) == 6s);
}

TEST_CASE("a pace weighs what it saw by its length") {
  // 1 s taken as 1 s, faded by 15 / 45, then 30 s that took 60 s.
  auto pace = after_seeing(1s, 1s, 1);
  pace.saw(30s, 60s);
  const double faded = 15.0 / 45.0;
  CHECK(pace.stretched(1s) == from_seconds((faded + 60) / (faded + 30)));
}

TEST_CASE("a pace follows a body that slows down: half the way within its memory of 15 s, all of it later") {
  auto pace = after_seeing(1s, 1s, 200);
  for (int n = 0; n < 10; ++n) pace.saw(1s, 2s);
  CHECK(pace.stretched(1s) > 1400ms);
  CHECK(pace.stretched(1s) < 1600ms);
  for (int n = 0; n < 200; ++n) pace.saw(1s, 2s);
  CHECK(pace.stretched(1s) > 1999ms);
}

TEST_CASE("a pace never stretches more than tenfold") {
  CHECK(after_seeing(1s, 10s, 1).stretched(1s) == 10s);
  CHECK(after_seeing(1s, 11s, 1).stretched(1s) == 10s);
}

TEST_CASE("a pace learns nothing from spans that aren't positive") {
  auto pace = after_seeing(1s, 2s, 1);
  pace.saw(0s, 5s);
  pace.saw(1s, 0s);
  pace.saw(-1s, 5s);
  pace.saw(1s, -5s);
  CHECK(pace.stretched(1s) == 2s);
}
