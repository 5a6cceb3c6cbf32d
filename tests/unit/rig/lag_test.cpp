#include "lib/rig/lag.h"

#include <chrono>

#include <doctest/doctest.h>

using namespace noonfall;
using namespace noonfall::rig;
using namespace std::chrono_literals;

namespace {

Lag after_seeing(Lag lag, Duration seen, int times) {
  for (int n = 0; n < times; ++n) lag.saw(seen);
  return lag;
}

}  // namespace

TEST_CASE("a fresh lag trusts its profile to within 30 %") {
  const Lag lag{{200ms, 10ms}};
  CHECK(lag.least() == 133ms);  // 0.7 x 190
  CHECK(lag.most() == 273ms);   // 1.3 x 210
}

TEST_CASE("a lag is never below zero, however large the jitter") {
  CHECK(Lag{{10ms, 20ms}}.least() == 0ms);
  CHECK(after_seeing(Lag{{10ms, 20ms}}, 10ms, 8).least() == 0ms);
}

TEST_CASE("seven frames teach a lag nothing, the eighth does") {
  const auto seven = after_seeing(Lag{{200ms, 10ms}}, 180ms, 7);
  CHECK(seven.least() == 133ms);
  CHECK(seven.most() == 273ms);
  // Twice the jitter, 30 % more: the unseen ends lie within 26 ms of what was seen.
  const auto eight = after_seeing(seven, 180ms, 1);
  CHECK(eight.least() == 154ms);
  CHECK(eight.most() == 206ms);
}

TEST_CASE("a lag's bounds hold everything seen, also beyond twice the jitter") {
  auto lag = after_seeing(Lag{{200ms, 10ms}}, 180ms, 8);
  lag.saw(150ms);
  lag.saw(215ms);
  CHECK(lag.least() == 150ms);
  CHECK(lag.most() == 215ms);
}

TEST_CASE("the second end that is seen narrows the other one") {
  auto lag = after_seeing(Lag{{200ms, 10ms}}, 180ms, 8);
  lag.saw(190ms);
  CHECK(lag.least() == 164ms);  // 190 - 26
  CHECK(lag.most() == 206ms);
}
