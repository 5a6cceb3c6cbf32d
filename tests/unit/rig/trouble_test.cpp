#include <doctest/doctest.h>

#include "tests/unit/rig/bench.h"

using namespace noonfall;
using namespace noonfall::rig;

namespace {

const std::string fired_late =
    "1.1 fired of 1 at 10240 released 10200 open 10230 to 10232 with 1/500 f/8 ISO 400";

/// The rig's body went away during the release of order 1; order 2, two frames from 20 s on, waits.
Bench away() {
  auto bench = releasing();
  bench.step(9980ms, {order_of(2, 20s, {quick, slow})});
  auto answer = said(10s, Answer::gone, "off the line");
  answer.released = at(9972ms);
  REQUIRE(bench.step(10s, {answer}) ==
          "1.1 unknown of 1 at 10000 released 9972 with 1/500 f/8 ISO 400: off the line | "
          "rig 0 away at 10000: off the line | done 1 at 10000 | wake 18000");
  return bench;
}

}  // namespace

TEST_CASE("cancelling an order that waits closes its frames with the reason") {
  Bench bench;
  bench.step(0s, {order_of(1, 10s, {quick, slow})});
  CHECK(bench.step(1s, {order::Cancel{1, "the rig was held"}}) ==
        "1.1 cancelled of 1 at 1000 with 1/500 f/8 ISO 400: the rig was held | "
        "1.2 cancelled of 1 at 1000 with 0.5 s f/8 ISO 400: the rig was held | done 1 at 1000");
  CHECK(bench.rig().idle());
}

TEST_CASE("an order can be cancelled without a reason") {
  Bench bench;
  bench.step(0s, {order_of(1, 10s, {quick})});
  CHECK(bench.step(1s, {order::Cancel{1, ""}}) ==
        "1.1 cancelled of 1 at 1000 with 1/500 f/8 ISO 400 | done 1 at 1000");
}

TEST_CASE("cancelling the next order leaves the one in progress alone") {
  auto bench = waiting_for_release();
  bench.step(9s, {order_of(2, 12s, {slow})});
  CHECK(bench.step(9100ms, {order::Cancel{2, "held"}}) ==
        "2.1 cancelled of 2 at 9100 with 1/500 f/8 ISO 400: held | done 2 at 9100 | wake 9972");
  CHECK(bench.step(9972ms) == "release 1.1 by 12000");
}

TEST_CASE("a cancel during a release lets that frame finish and takes no further one") {
  Bench bench;
  bench.step(8s, {order_of(1, 10s, {quick, slow})});
  bench.step(8600ms, {set_to(8600ms, quick)});
  bench.step(9972ms);
  CHECK(bench.step(9980ms, {order::Cancel{1, "held"}}).empty());
  CHECK(bench.step(10'040ms, {took(10'040ms, 9972ms, {10'030ms})}) ==
        "1.1 fired of 1 at 10040 released 9972 open 10030 to 10032 with 1/500 f/8 ISO 400 | "
        "1.2 cancelled of 1 at 10040 with 1/500 f/8 ISO 400: held | done 1 at 10040");
}

TEST_CASE("a cancel of an order long done changes nothing") {
  auto bench = waiting_for_release();
  CHECK(bench.step(9s, {order::Cancel{7, "held"}}) == "wake 9972");
}

TEST_CASE("a busy body is asked again after 2, 4, 8, then every 10 ms until it takes the frame") {
  auto bench = releasing();
  CHECK(bench.step(10s, {said(10s, Answer::busy, "buffer full")}) == "wake 10002");
  CHECK(bench.step(10'002ms - 1us) == "wake 10002");
  CHECK(bench.step(10'002ms) == "release 1.1 by 12000");
  CHECK(bench.step(10'010ms, {said(10'010ms, Answer::busy, "buffer full")}) == "wake 10014");
  bench.step(10'014ms);
  CHECK(bench.step(10'020ms, {said(10'020ms, Answer::busy, "buffer full")}) == "wake 10028");
  bench.step(10'028ms);
  CHECK(bench.step(10'030ms, {said(10'030ms, Answer::busy, "buffer full")}) == "wake 10040");
  bench.step(10'040ms);
  CHECK(bench.step(10'050ms, {said(10'050ms, Answer::busy, "buffer full")}) == "wake 10060");
  CHECK(bench.step(10'200ms) == "release 1.1 by 12000");
  CHECK(bench.step(10'240ms, {took(10'240ms, 10'200ms, {10'230ms})}) == fired_late + " | done 1 at 10240");
}

TEST_CASE("a body busy until the last possible release costs the frame, longer than a second is a failure") {
  // Asked again 2 ms after the first answer, 4 ms after the second: 11.892 s is the last one that leaves the
  // most lag before 12 s.
  const auto busy_since = [](Duration first) {
    auto bench = releasing();
    bench.step(first, {said(first, Answer::busy, "buffer full")});
    REQUIRE(bench.step(11'890ms) == "release 1.1 by 12000");
    return bench;
  };
  const auto busy = [](Duration now) { return said(now, Answer::busy, "buffer full"); };
  CHECK(busy_since(10s).step(11'892ms, {busy(11'892ms)}) == "wake 11896");
  CHECK(busy_since(10'892ms).step(11'892ms + 1us, {busy(11'892ms + 1us)}) ==
        "1.1 failed of 1 at 11892.001 with 1/500 f/8 ISO 400: the body stayed busy: buffer full | "
        "done 1 at 11892.001");
  CHECK(busy_since(10'892ms + 1us).step(11'892ms + 1us, {busy(11'892ms + 1us)}) ==
        "1.1 skipped of 1 at 11892.001 with 1/500 f/8 ISO 400: too late: the shutter would open 0.00 s after "
        "its last instant | done 1 at 11892.001");
}

TEST_CASE("a body that is busy on and on is told of, once, and asked again all the same") {
  Bench bench;
  auto order = order_of(1, 10s, {quick});
  order.frames[0].latest += 1h;
  bench.step(8s, {order});
  bench.step(8100ms, {set_to(8100ms, quick)});
  REQUIRE(bench.step(9972ms) == "release 1.1 by 3612000");
  CHECK(bench.step(10s, {said(10s, Answer::busy, "buffer full")}) == "wake 10002");
  REQUIRE(bench.step(19'990ms) == "release 1.1 by 3612000");
  CHECK(bench.step(20s, {said(20s, Answer::busy, "buffer full")}) ==
        "rig 0 ready at 20000: busy for 10 s, nothing is taken meanwhile: buffer full; look at the body | "
        "wake 20004");
  REQUIRE(bench.step(20'004ms) == "release 1.1 by 3612000");
  CHECK(bench.step(40s, {said(40s, Answer::busy, "buffer full")}) == "wake 40008");
}

TEST_CASE("a body busy with its settings is asked again") {
  Bench bench;
  bench.step(8s, {order_of(1, 10s, {quick})});
  CHECK(bench.step(8100ms, {said(8100ms, Answer::busy, "writing")}) == "wake 8102");
  CHECK(bench.step(8102ms) == "set 1/500 f/8 ISO 400 single");
}

TEST_CASE("after refused settings the frame is shot with what the body has, and says so") {
  Bench bench;
  bench.step(8s, {order_of(1, 10s, {quick})});
  auto refusal = said(8100ms, Answer::refused, "the dial is locked");
  refusal.exposure = slow;
  CHECK(bench.step(8100ms, {refusal}) == "wake 9972");
  CHECK(bench.step(9972ms) == "release 1.1 by 12000");
  CHECK(bench.step(10'040ms, {took(10'040ms, 9972ms, {10'030ms})}) ==
        "1.1 fired of 1 at 10040 released 9972 open 10030 to 10032 with 0.5 s f/8 ISO 400: wrong exposure: "
        "the dial is locked | done 1 at 10040");
}

namespace {

/// One frame of `quick`, due at 10 s, its shutter closed by `closed_by`; the body refused its settings with
/// this answer.
Bench refused(Duration closed_by, const std::optional<exposure::Exposure>& shown) {
  Bench bench;
  auto order = order_of(1, 10s, {quick});
  order.closed_by = at(closed_by);
  bench.step(8s, {order});
  auto refusal = said(8100ms, Answer::refused, "the dial is locked");
  refusal.exposure = shown;
  REQUIRE(bench.step(8100ms, {refusal}).find("wake") == 0);
  return bench;
}

}  // namespace

TEST_CASE("no frame is released that would close too late with the exposure that the body kept") {
  const auto half_minute = with({32, 1});
  // Released at 9.972 s the shutter opens by 10.076 s, and closes 32 s later.
  CHECK(refused(42'076ms, half_minute).step(9972ms) == "release 1.1 by 10076");
  CHECK(refused(42'076ms - 1us, half_minute).step(9972ms) ==
        "1.1 failed of 1 at 9972 with 32 s f/8 ISO 400: the shutter would close too late with what the body "
        "is set to: wrong exposure: the dial is locked | done 1 at 9972");
}

TEST_CASE("where the body's exposure couldn't be read back, the longest it can be set to is counted on") {
  CHECK(refused(42'076ms, std::nullopt).step(9972ms) == "release 1.1 by 10076");
  CHECK(refused(42'076ms - 1us, std::nullopt).step(9972ms) ==
        "1.1 failed of 1 at 9972 with 1/500 f/8 ISO 400: the shutter would close too late with what the body "
        "is set to: wrong exposure: the dial is locked | done 1 at 9972");
}

TEST_CASE("after settings without a word the longest exposure must close in time, too") {
  Bench bench;
  auto order = order_of(1, 10s, {quick});
  order.closed_by = at(40s);
  bench.step(8s, {order});
  CHECK(bench.step(8500ms, {said(8500ms, Answer::no_word, "no word")}) ==
        "1.1 failed of 1 at 8500 with 1/500 f/8 ISO 400: the shutter would close too late with what the body "
        "is set to: wrong exposure: no word | done 1 at 8500");
}

TEST_CASE("settings read back otherwise than asked are a wrong exposure") {
  Bench bench;
  bench.step(8s, {order_of(1, 10s, {quick})});
  bench.step(8100ms, {set_to(8100ms, slow)});
  bench.step(9972ms);
  CHECK(bench.step(10'040ms, {took(10'040ms, 9972ms, {10'030ms})}) ==
        "1.1 fired of 1 at 10040 released 9972 open 10030 to 10032 with 0.5 s f/8 ISO 400: wrong exposure: "
        "1/500 f/8 ISO 400 was asked for | done 1 at 10040");
}

TEST_CASE("a refused release fails the frame and the next one is tried") {
  Bench bench;
  bench.step(8s, {order_of(1, 10s, {quick, quick})});
  bench.step(8600ms, {set_to(8600ms, quick)});
  bench.step(9972ms);
  auto refusal = said(10s, Answer::refused, "no focus");
  refusal.released = at(9972ms);
  CHECK(bench.step(10s, {refusal}) ==
        "1.1 failed of 1 at 10000 released 9972 with 1/500 f/8 ISO 400: no focus | release 1.2 by 13000");
}

TEST_CASE("a release without a word is unknown, and events are read before the next call") {
  Bench bench;
  bench.step(8s, {order_of(1, 10s, {quick, quick})});
  bench.step(8600ms, {set_to(8600ms, quick)});
  bench.step(9972ms);
  auto silence = said(10'500ms, Answer::no_word, "no word within 500 ms");
  silence.released = at(9972ms);
  CHECK(bench.step(10'500ms, {silence}) ==
        "1.1 unknown of 1 at 10500 released 9972 with 1/500 f/8 ISO 400: no word within 500 ms | drain");
  CHECK(bench.step(10'600ms, {said(10'600ms, Answer::ok)}) == "release 1.2 by 13000");
}

TEST_CASE("a frame whose picture wasn't announced is unknown, and costs the next one nothing") {
  Bench bench;
  bench.step(8s, {order_of(1, 10s, {quick, quick})});
  bench.step(8600ms, {set_to(8600ms, quick)});
  bench.step(9972ms);
  auto answer = took(10'040ms, 9972ms, {10'030ms});
  answer.frames.front().confirmed = false;
  CHECK(bench.step(10'040ms, {answer}) ==
        "1.1 unknown of 1 at 10040 released 9972 open 10030 to 10032 with 1/500 f/8 ISO 400: no picture was "
        "announced | release 1.2 by 13000");
}

TEST_CASE("settings without a word are read up on, then the frame is shot all the same") {
  Bench bench;
  bench.step(8s, {order_of(1, 10s, {quick})});
  CHECK(bench.step(8500ms, {said(8500ms, Answer::no_word, "no word")}) == "drain");
  CHECK(bench.step(8600ms, {said(8600ms, Answer::ok)}) == "wake 9972");
}

TEST_CASE("a body that went away is reopened when told to, and gets its settings again") {
  auto bench = away();
  CHECK(bench.step(11s) == "wake 18000");
  CHECK(bench.step(12s, {order::Recover{order::Remedy::reset_port, at(42s)}}) == "reopen at rung 2");
  CHECK(bench.step(13s, {said(13s, Answer::gone)}) == "wake 14000");
  CHECK(bench.step(14s - 1us) == "wake 14000");
  CHECK(bench.step(14s) == "reopen at rung 2");
  CHECK(bench.step(15s, {said(15s, Answer::ok)}) == "rig 0 ready at 15000 | wake 18000");
  CHECK(bench.step(18s) == "started 2 at 18000 | set 1/500 f/8 ISO 400 single");
}

TEST_CASE("a spare in the body's place gets all settings anew") {
  auto bench = away();
  CHECK(bench.step(12s, {order::Recover{order::Remedy::reopen, at(42s), true}}) ==
        "reopen at rung 1 or its spare");
  auto answer = said(15s, Answer::ok);
  answer.spare = "3012346";
  CHECK(bench.step(15s, {answer}) == "rig 0 ready at 15000 with spare 3012346 | wake 18000");
  CHECK(bench.step(18s) == "started 2 at 18000 | set 1/500 f/8 ISO 400 single");
}

TEST_CASE("no reopening is tried after the recovery's end") {
  auto bench = away();
  CHECK(bench.step(12s, {order::Recover{order::Remedy::reopen, at(13s)}}) == "reopen at rung 1");
  CHECK(bench.step(12'001ms, {said(12'001ms, Answer::gone)}) == "wake 13001");
  CHECK(bench.step(13'001ms) == "wake 18000");
}

TEST_CASE("a body that is there is drained at the lowest rung, and its settings are sent anew") {
  Bench bench;
  bench.step(8s, {order_of(1, 30s, {quick})});
  bench.step(28s, {});
  REQUIRE(bench.step(28'100ms, {said(28'100ms, Answer::ok)}) == "wake 29972");
  CHECK(bench.step(28'200ms, {order::Recover{order::Remedy::drain_and_retry, at(28'200ms)}}) == "drain");
  CHECK(bench.step(28'300ms, {said(28'300ms, Answer::ok)}) == "set 1/500 f/8 ISO 400 single");
}

TEST_CASE("frames run out of time one by one while the body is away") {
  auto bench = away();
  // A second of settings and 104 ms of lag before 22 s; the second frame a second later.
  CHECK(bench.step(18s) == "started 2 at 18000 | wake 20896.001");
  CHECK(bench.step(20'896ms) == "wake 20896.001");
  CHECK(bench.step(20'896ms + 1us) ==
        "2.1 skipped of 2 at 20896.001 with 1/500 f/8 ISO 400: the body was away | wake 21896.001");
  CHECK(bench.step(21'896ms + 1us) ==
        "2.2 skipped of 2 at 21896.001 with 0.5 s f/8 ISO 400: the body was away | done 2 at 21896.001");
}

TEST_CASE("a body lost after its settings were dealt with gets them again once it is back") {
  Bench bench;
  bench.step(8s, {order_of(1, 30s, {quick})});
  bench.step(28s, {});
  REQUIRE(bench.step(28'100ms, {said(28'100ms, Answer::no_word, "no word")}) == "drain");
  CHECK(bench.step(28'200ms, {said(28'200ms, Answer::gone, "off the line")}) ==
        "rig 0 away at 28200: off the line | wake 30896.001");
  CHECK(bench.step(28'300ms, {order::Recover{order::Remedy::reopen, at(60s)}}) == "reopen at rung 1");
  CHECK(bench.step(29s, {said(29s, Answer::ok)}) == "rig 0 ready at 29000 | set 1/500 f/8 ISO 400 single");
}

TEST_CASE(
    "a body found gone between calls is away from then on, and its settings are sent anew when it is back") {
  auto bench = waiting_for_release();
  CHECK(bench.step(9s, {Gone{at(9s), "off the line"}}) ==
        "rig 0 away at 9000: off the line | wake 10896.001");
  CHECK(bench.step(9100ms, {Gone{at(9100ms), "off the line"}}) == "wake 10896.001");
  CHECK(bench.step(9200ms, {order::Recover{order::Remedy::reopen, at(30s)}}) == "reopen at rung 1");
}
