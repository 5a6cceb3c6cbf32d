#include <doctest/doctest.h>

#include "tests/unit/rig/bench.h"

using namespace noonfall;
using namespace noonfall::rig;

namespace {

order::Order burst_of_four() {
  auto order = order_of(1, 10s, {quick, quick, quick, quick});
  order.drive = body::Drive::continuous;
  for (auto& frame : order.frames) frame.latest = at(13s);
  return order;
}

const std::string first_two_fired =
    "1.1 fired of 1 at 10300 released 9972 open 10030 to 10032 with 1/500 f/8 ISO 400 | "
    "1.2 fired of 1 at 10300 released 9972 open 10080 to 10082 with 1/500 f/8 ISO 400";

Bench bursting() {
  Bench bench;
  REQUIRE(bench.step(8s, {burst_of_four()}) == "started 1 at 8000 | set 1/500 f/8 ISO 400 continuous");
  REQUIRE(bench.step(9s, {set_to(9s, quick, body::Drive::continuous)}) == "wake 9972");
  REQUIRE(bench.step(9972ms) == "release 1.1 1.2 1.3 1.4 by 13000");
  return bench;
}

}  // namespace

TEST_CASE("a burst is one release of all its frames") {
  auto bench = bursting();
  CHECK(bench.step(10'300ms, {took(10'300ms, 9972ms, {10'030ms, 10'080ms, 10'130ms, 10'180ms})}) ==
        first_two_fired +
            " | 1.3 fired of 1 at 10300 released 9972 open 10130 to 10132 with 1/500 f/8 ISO 400 | "
            "1.4 fired of 1 at 10300 released 9972 open 10180 to 10182 with 1/500 f/8 ISO 400 | "
            "done 1 at 10300");
  CHECK(bench.rig().idle());
}

TEST_CASE("a burst that ended early is taken up again with the frames still wanted, settings as they are") {
  auto bench = bursting();
  CHECK(bench.step(10'300ms, {took(10'300ms, 9972ms, {10'030ms, 10'080ms})}) ==
        first_two_fired + " | release 1.3 1.4 by 13000");
  CHECK(bench.step(12'950ms, {took(12'950ms, 10'300ms, {10'360ms})}) ==
        "1.3 fired of 1 at 12950 released 10300 open 10360 to 10362 with 1/500 f/8 ISO 400 | "
        "1.4 skipped of 1 at 12950 with 1/500 f/8 ISO 400: too late: the shutter would open 0.05 s after its "
        "last instant | done 1 at 12950");
}

TEST_CASE("a burst without a single frame counts as busy") {
  auto bench = bursting();
  CHECK(bench.step(10'300ms, {took(10'300ms, 9972ms, {})}) == "wake 10302");
  CHECK(bench.step(10'302ms) == "release 1.1 1.2 1.3 1.4 by 13000");
}

TEST_CASE("a burst of an exposure the body kept stops early enough for its last frame to close in time") {
  Bench bench;
  auto order = burst_of_four();
  order.closed_by = at(12s);
  bench.step(8s, {order});
  bench.step(8600ms, {set_to(8600ms, slow, body::Drive::continuous)});
  CHECK(bench.step(9972ms) == "release 1.1 1.2 1.3 1.4 by 11500");
}

TEST_CASE("a burst stops by the earliest latest of its frames") {
  Bench bench;
  auto order = burst_of_four();
  order.frames[2].latest = at(12s);
  bench.step(8s, {order});
  bench.step(9s, {set_to(9s, quick, body::Drive::continuous)});
  CHECK(bench.step(9972ms) == "release 1.1 1.2 1.3 1.4 by 12000");
}

TEST_CASE("a body that stayed in single drive takes a burst one by one") {
  Bench bench;
  bench.step(8s, {burst_of_four()});
  CHECK(bench.step(9s, {set_to(9s, quick, body::Drive::single)}) == "wake 9972");
  CHECK(bench.step(9972ms) == "release 1.1 by 13000");
  const std::string but = ": wrong exposure: 1/500 f/8 ISO 400 was asked for";
  CHECK(bench.step(10'040ms, {took(10'040ms, 9972ms, {10'030ms})}) ==
        "1.1 fired of 1 at 10040 released 9972 open 10030 to 10032 with 1/500 f/8 ISO 400" + but +
            " | release 1.2 by 13000");
}

TEST_CASE("a burst without a word is unknown frame by frame, and events are read before anything else") {
  auto bench = bursting();
  bench.step(10s, {order_of(2, 16s, {slow})});
  CHECK(bench.step(14s, {said(14s, Answer::no_word, "no word within 4 s")}) ==
        "1.1 unknown of 1 at 14000 with 1/500 f/8 ISO 400: no word within 4 s | "
        "1.2 unknown of 1 at 14000 with 1/500 f/8 ISO 400: no word within 4 s | "
        "1.3 unknown of 1 at 14000 with 1/500 f/8 ISO 400: no word within 4 s | "
        "1.4 unknown of 1 at 14000 with 1/500 f/8 ISO 400: no word within 4 s | "
        "done 1 at 14000 | started 2 at 14000 | drain");
}

namespace {

const auto middle = with({1, 500});
const auto shorter = with({1, 2000});
const auto longer = with({1, 125});

/// As a body takes it that begins with the middle.
Bench with_bracket() {
  Bench bench;
  auto order = order_of(1, 10s, {middle, shorter, longer});
  order.drive = body::Drive::bracket;
  order.whole_or_none = true;
  REQUIRE(bench.step(8s, {order}) == "started 1 at 8000 | set 1/500 f/8 ISO 400 bracket");
  return bench;
}

}  // namespace

TEST_CASE("a bracket of the body's own is one release, and each frame has its own exposure") {
  auto bench = with_bracket();
  REQUIRE(bench.step(9s, {set_to(9s, middle, body::Drive::bracket)}) == "wake 9972");
  REQUIRE(bench.step(9972ms).starts_with("release 1.1 1.2 1.3 by "));
  const auto done = bench.step(10'300ms, {took(10'300ms, 9972ms, {10'030ms, 10'080ms, 10'130ms})});
  CHECK(done.find("1.1 fired of 1 at 10300 released 9972 open 10030 to 10032 with 1/500 f/8") == 0);
  CHECK(done.find("1.2 fired") != std::string::npos);
  CHECK(done.find("with 1/2000 f/8 ISO 400 | 1.3 fired") != std::string::npos);
  CHECK(done.find("with 1/125 f/8 ISO 400 | done 1 at 10300") != std::string::npos);
}

TEST_CASE("a bracket that ended early isn't taken up again: its other frames failed") {
  auto bench = with_bracket();
  (void)bench.step(9s, {set_to(9s, middle, body::Drive::bracket)});
  (void)bench.step(9972ms);
  const auto done = bench.step(10'300ms, {took(10'300ms, 9972ms, {10'030ms})});
  CHECK(done.find("1.1 fired") == 0);
  CHECK(done.find("1.3 failed of 1 at 10300") != std::string::npos);
  CHECK(done.find("the body's bracket ended before this frame | done 1") != std::string::npos);
}

TEST_CASE("a body that takes no bracket has the frames one by one, and that is said of each") {
  auto bench = with_bracket();
  CHECK(bench.step(9s, {set_to(9s, middle, body::Drive::single)}) == "wake 9972");
  CHECK(bench.step(9972ms).starts_with("release 1.1 by "));
  const auto done = bench.step(10'300ms, {took(10'300ms, 9972ms, {10'030ms})});
  CHECK(done.find("1.1 fired") == 0);
  CHECK(done.find(
            ": not in the bracket of the body's own that the plan wants | set 1/2000 f/8 ISO 400 single") !=
        std::string::npos);
}
