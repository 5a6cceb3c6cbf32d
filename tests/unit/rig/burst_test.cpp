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
