#include <doctest/doctest.h>

#include "tests/unit/rig/bench.h"

using namespace noonfall;
using namespace noonfall::rig;

TEST_CASE("an idle rig does nothing and asks for nothing") {
  Bench bench;
  CHECK(bench.step(0s).empty());
  CHECK(bench.rig().idle());
}

TEST_CASE(
    "one frame: settings from prepare_from, release a least lag before earliest, both to the microsecond") {
  Bench bench;
  CHECK(bench.step(0s, {order_of(1, 10s, {quick})}) == "wake 8000");
  CHECK(bench.step(8s - 1us) == "wake 8000");
  CHECK(bench.step(8s) == "started 1 at 8000 | set 1/500 f/8 ISO 400 single");
  CHECK(bench.step(8600ms, {set_to(8600ms, quick)}) == "wake 9972");
  CHECK(bench.step(9972ms - 1us) == "wake 9972");
  CHECK(bench.step(9972ms) == "release 1.1 by 12000");
  auto answer = took(10'040ms, 9972ms, {10'030ms});
  answer.frames.front().files = {"NOON0001.RAW"};
  CHECK(bench.step(10'041ms, {answer}) ==
        "1.1 fired of 1 at 10040 released 9972 open 10030 to 10032 with 1/500 f/8 ISO 400 NOON0001.RAW | "
        "done 1 at 10041");
  CHECK(bench.step(20s).empty());
  CHECK(bench.rig().idle());
}

TEST_CASE("a rig is busy with its call until the answer comes") {
  auto bench = releasing();
  CHECK_FALSE(bench.rig().idle());
  CHECK(bench.step(11s).empty());
  CHECK(bench.step(60s).empty());
}

TEST_CASE("the last possible release is the most lag before latest, to the microsecond") {
  // Due at 10 s, latest 12 s; the shutter opens at most 104 ms after the call.
  const auto late = [](Duration now) {
    auto bench = waiting_for_release();
    return bench.step(now);
  };
  const std::string release = "release 1.1 by 12000";
  CHECK(late(11'896ms - 1us) == release);
  CHECK(late(11'896ms) == release);
  CHECK(late(11'896ms + 1us) ==
        "1.1 skipped of 1 at 11896.001 with 1/500 f/8 ISO 400: too late: the shutter would open 0.00 s after "
        "its last instant | done 1 at 11896.001");
}

TEST_CASE("the time of the settings still to be sent counts towards the last possible release") {
  // A drive of unknown state, shutter, aperture and ISO: a second.
  const auto prepared_at = [](Duration now) {
    Bench bench;
    return bench.step(now, {order_of(1, 10s, {quick})});
  };
  CHECK(prepared_at(10'896ms) == "started 1 at 10896 | set 1/500 f/8 ISO 400 single");
  CHECK(prepared_at(10'896ms + 1us) ==
        "1.1 skipped of 1 at 10896.001 with 1/500 f/8 ISO 400: too late: the shutter would open 0.00 s after "
        "its last instant | done 1 at 10896.001");
}

TEST_CASE("the next order's settings go out with the answer that ends the one before") {
  auto bench = releasing();
  CHECK(bench.step(9980ms, {order_of(2, 11s, {slow})}).empty());
  CHECK(bench.step(10'041ms, {took(10'040ms, 9972ms, {10'030ms})}) ==
        "1.1 fired of 1 at 10040 released 9972 open 10030 to 10032 with 1/500 f/8 ISO 400 | done 1 at 10041 "
        "| started 2 at 10041 | set 0.5 s f/8 ISO 400 single");
  CHECK(bench.step(10'141ms, {set_to(10'141ms, slow)}) == "wake 10972");
  CHECK(bench.step(10'972ms) == "release 2.1 by 13000");
}

TEST_CASE("the next order waits for its own prepare_from") {
  auto bench = releasing();
  bench.step(9980ms, {order_of(2, 30s, {slow})});
  CHECK(bench.step(10'041ms, {took(10'040ms, 9972ms, {10'030ms})}) ==
        "1.1 fired of 1 at 10040 released 9972 open 10030 to 10032 with 1/500 f/8 ISO 400 | done 1 at 10041 "
        "| wake 28000");
}

TEST_CASE("orders that a core gave up make room at once, and one too many is refused with the reason") {
  auto bench = releasing();
  bench.step(9980ms, {order_of(2, 30s, {slow})});
  CHECK(bench.step(10s, {order::Cancel{1, "given up"}, order::Cancel{2, "given up"}}) ==
        "2.1 cancelled of 2 at 10000 with 1/500 f/8 ISO 400: given up | done 2 at 10000");
  CHECK(bench.step(11s, {order_of(3, 40s, {slow}), order_of(4, 50s, {slow}), order_of(5, 60s, {slow})})
            .empty());
  CHECK(bench.step(12s, {order_of(6, 70s, {slow})}) ==
        "6.1 failed of 6 at 12000 with 1/500 f/8 ISO 400: the rig has orders enough | done 6 at 12000");
  CHECK(bench.step(30s, {took(30s, 9972ms, {10'030ms})}) ==
        "1.1 fired of 1 at 30000 released 9972 open 10030 to 10032 with 1/500 f/8 ISO 400 | done 1 at 30000 "
        "| wake 38000");
  CHECK(bench.rig().held().size() == 3);
}

TEST_CASE("settings the body has already aren't sent again") {
  auto bench = releasing();
  bench.step(9980ms, {order_of(2, 10s, {quick})});
  CHECK(bench.step(10'041ms, {took(10'040ms, 9972ms, {10'030ms})}) ==
        "1.1 fired of 1 at 10040 released 9972 open 10030 to 10032 with 1/500 f/8 ISO 400 | done 1 at 10041 "
        "| started 2 at 10041 | release 2.1 by 12000");
}

TEST_CASE("the frames after the first go as fast as the body does, settings between them") {
  Bench bench;
  bench.step(8s, {order_of(1, 10s, {quick, slow, slow})});
  bench.step(8600ms, {set_to(8600ms, quick)});
  CHECK(bench.step(9972ms) == "release 1.1 by 12000");
  CHECK(bench.step(10'040ms, {took(10'040ms, 9972ms, {10'030ms})}) ==
        "1.1 fired of 1 at 10040 released 9972 open 10030 to 10032 with 1/500 f/8 ISO 400 "
        "| set 0.5 s f/8 ISO 400 single");
  CHECK(bench.step(10'140ms, {set_to(10'140ms, slow)}) == "release 1.2 by 13000");
  CHECK(bench.step(10'700ms, {took(10'700ms, 10'140ms, {10'200ms})}) ==
        "1.2 fired of 1 at 10700 released 10140 open 10200 to 10202 with 0.5 s f/8 ISO 400 "
        "| release 1.3 by 14000");
}

TEST_CASE("a late step skips the frames whose time has passed and goes on with the next") {
  Bench bench;
  // Latest 12 s, 13 s, 14 s: at 12.5 s a second of settings leaves only the last.
  CHECK(bench.step(12'500ms, {order_of(1, 10s, {quick, slow, slow})}) ==
        "1.1 skipped of 1 at 12500 with 1/500 f/8 ISO 400: too late: the shutter would open 1.60 s after its "
        "last instant | 1.2 skipped of 1 at 12500 with 0.5 s f/8 ISO 400: too late: the shutter would open "
        "0.60 s after its last instant | started 1 at 12500 | set 0.5 s f/8 ISO 400 single");
}

TEST_CASE("of a set that is whole or none, all frames are skipped with the first") {
  Bench bench;
  auto order = order_of(1, 10s, {quick, slow});
  order.whole_or_none = true;
  CHECK(bench.step(11'500ms, {order}) ==
        "1.1 skipped of 1 at 11500 with 1/500 f/8 ISO 400: too late: the shutter would open 0.60 s after its "
        "last instant | 1.2 skipped of 1 at 11500 with 0.5 s f/8 ISO 400: too late: the shutter would open "
        "0.60 s after its last instant | done 1 at 11500");
}

TEST_CASE("a set that is whole or none goes on once its first frame is taken") {
  Bench bench;
  auto order = order_of(1, 10s, {quick, slow, quick});
  order.whole_or_none = true;
  bench.step(8s, {order});
  bench.step(8600ms, {set_to(8600ms, quick)});
  bench.step(9972ms);
  CHECK(bench.step(12'950ms, {took(12'950ms, 9972ms, {10'030ms})}) ==
        "1.1 fired of 1 at 12950 released 9972 open 10030 to 10032 with 1/500 f/8 ISO 400 | 1.2 skipped of 1 "
        "at 12950 with 1/500 f/8 ISO 400: too late: the shutter would open 0.15 s after its last instant "
        "| release 1.3 by 14000");
}

TEST_CASE("no frame opens before earliest, even when those before it were skipped") {
  // A body as the frame before left it; the first frame's settings take too long, the second needs none.
  auto bench = releasing();
  auto order = order_of(2, 10'200ms, {slow, quick});
  order.frames[0].latest = at(10'205ms);
  bench.step(9980ms, {order});
  CHECK(bench.step(10'041ms, {took(10'040ms, 9972ms, {10'030ms})}) ==
        "1.1 fired of 1 at 10040 released 9972 open 10030 to 10032 with 1/500 f/8 ISO 400 | done 1 at 10041 "
        "| 2.1 skipped of 2 at 10041 with 1/500 f/8 ISO 400: too late: the shutter would open 0.04 s after "
        "its last instant | started 2 at 10041 | wake 10172");
  CHECK(bench.step(10'172ms) == "release 2.2 by 13200");
}
