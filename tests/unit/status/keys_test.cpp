#include "daemon/status/keys.h"

#include <doctest/doctest.h>

#include "daemon/status/recent_events.h"
#include "lib/shotlog/command.h"

using namespace noonfall;
using namespace noonfall::status;

namespace {

StatusFacts two_rigs() {
  StatusFacts facts;
  facts.rigs.resize(2);
  facts.rigs[0].rig = "long";
  facts.rigs[0].step = "corona";
  facts.rigs[1].rig = "wide one";
  facts.rigs[1].proposed_trim = 2.0 / 3;
  facts.rigs[1].next_step = "land";
  return facts;
}

/// The commands that keys typed one by one come to, each understood as `noonfalld --tell` would.
std::string typed(const std::string& keys) {
  const shotlog::CommandNames names{{"long", "wide one"}, {"corona", "land"}};
  Keys bench;
  std::string all;
  for (const char key : keys) {
    const auto command = bench.take({&key, 1}, two_rigs());
    if (!command) continue;
    const auto understood = shotlog::parse_command(*command, names);
    REQUIRE(understood);
    all += (all.empty() ? "" : "; ") + to_text(*understood);
  }
  return all;
}

}  // namespace

TEST_CASE("a key asks, Enter does, and any other key leaves it") {
  CHECK(typed("h\r") == "hold long");
  CHECK(typed("h\n") == "hold long");
  CHECK(typed("h") == "");
  CHECK(typed("hx\r") == "");
  CHECK(typed("h\x1b\r") == "");
  CHECK(typed("\r\r") == "");
  CHECK(typed("h\r\r") == "hold long");
  CHECK(typed("hr\r") == "resume long");
}

TEST_CASE("every command has its key, for the rig that was chosen") {
  CHECK(typed("2h\r1r\r") == "hold wide one; resume long");
  CHECK(typed("9h\r") == "hold long");
  CHECK(typed("f\r2F\r") == "filter long on; filter wide one off");
  CHECK(typed("c\r") == "clock ok");
  CHECK(typed("t\r2t\r") == "trim wide one +2/3 stop");
  CHECK(typed("2t") == "");
  CHECK(typed("s\r2s\r") == "skip corona; skip land");
}

TEST_CASE("trims are asked for by the third and add up until they are confirmed") {
  CHECK(typed("+\r") == "trim long +1/3 stop");
  CHECK(typed("--\r") == "trim long -2/3 stop");
  CHECK(typed("++++\r") == "trim long +4/3 stops");
  CHECK(typed("+++\r") == "trim long +1 stop");
  CHECK(typed("+-\r") == "");
  CHECK(typed("+h+\r") == "trim long +1/3 stop");
}

TEST_CASE("what was pasted is no key, and arrows aren't their letters") {
  Keys keys;
  const auto facts = two_rigs();
  CHECK_FALSE(keys.take("rm -rf pictures\n", facts));
  CHECK(keys.words().line == "that was too much at once to be keys: nothing was done");
  CHECK_FALSE(keys.take("h", facts));
  CHECK_FALSE(keys.take("\x1b[A", facts));
  CHECK_FALSE(keys.take("\r", facts));
  CHECK_FALSE(keys.take("", facts));
  CHECK(keys.take("h\r", facts) == "hold long");
}

TEST_CASE("the screen says what a key asks and what became of it") {
  Keys keys;
  const auto facts = two_rigs();
  CHECK(keys.words().line.starts_with("keys: "));
  CHECK(keys.words().line.size() < 80);
  (void)keys.take("2", facts);
  CHECK(keys.words().rig == 1);
  (void)keys.take("h", facts);
  CHECK(keys.words().line == "hold wide one?  Enter does it, any other key leaves it");
  CHECK(keys.words().asks);
  CHECK(keys.take("\r", facts) == "hold wide one");
  keys.answered(true, "hold wide one");
  CHECK(keys.words().line == "done: hold wide one");
  CHECK_FALSE(keys.words().asks);
  keys.answered(false, "the rig has no camera filter");
  CHECK(keys.words().line == "NOT done: the rig has no camera filter");
  CHECK(keys.words().help.empty());
  (void)keys.take("?", facts);
  CHECK(keys.words().help.size() == 5);
  (void)keys.take("?", facts);
  CHECK(keys.words().help.empty());
}

TEST_CASE("it is night in totality or by a person's choice") {
  Keys keys;
  auto facts = two_rigs();
  CHECK_FALSE(keys.night(facts));
  facts.in_totality = Totality{};
  CHECK(keys.night(facts));
  (void)keys.take("n", facts);
  CHECK_FALSE(keys.night(facts));
  facts.in_totality.reset();
  (void)keys.take("n", facts);
  CHECK(keys.night(facts));
}

TEST_CASE("a screen without rigs takes keys too") {
  Keys keys;
  CHECK_FALSE(keys.take("h", {}));
  CHECK_FALSE(keys.take("\r", {}));
  CHECK_FALSE(keys.take("c", {}));
  CHECK(keys.take("\r", {}) == "clock ok");
}

namespace {

Event event(int second, std::string who, std::string which = {}, std::string what = {},
            bool new_kind = true) {
  return {Utc{std::chrono::seconds{second}}, std::move(who), std::move(which), std::move(what), new_kind};
}

}  // namespace

TEST_CASE("events that are alike are counted in one line, which moves with the newest") {
  RecentEvents recent;
  recent.take(event(1, "long: the picture of frame 1 was announced late: A1.RAW"));
  recent.take(event(2, "cue: Halfway."));
  recent.take(event(3, "long: the picture of frame 22 was announced late: A2.RAW"));
  CHECK(recent.lines() ==
        std::vector<std::string>{
            "00:00:02 UTC cue: Halfway.",
            "00:00:03 UTC long: the picture of frame 22 was announced late: A2.RAW (2 times)"});
}

TEST_CASE("skips are summed by step") {
  RecentEvents recent;
  recent.take(event(1, "long: crescent", "1.1", "skipped: too late: 2.2 s"));
  CHECK(recent.lines() ==
        std::vector<std::string>{"00:00:01 UTC long: crescent 1.1 skipped: too late: 2.2 s"});
  for (int n = 2; n <= 9; ++n)
    recent.take(event(1, "long: crescent", std::to_string(n) + ".1", "skipped: too late: 7 s", false));
  recent.take(event(1, "wide: land", "1.1", "skipped: too late: 7 s"));
  CHECK(recent.lines() == std::vector<std::string>{"00:00:01 UTC long: crescent, 9 skipped: too late: 7 s",
                                                   "00:00:01 UTC wide: land 1.1 skipped: too late: 7 s"});
}

TEST_CASE("lines that leave the screen are told once, with their count") {
  RecentEvents recent;
  for (int n = 0; n < 3; ++n) recent.take(event(1, "long: crescent", "1.1", "failed", n == 0));
  recent.take(event(2, "two"));
  CHECK(recent.take_beyond(1) == std::vector<std::string>{"00:00:01 UTC long: crescent, 3 failed"});
  recent.take(event(3, "long: crescent", "1.2", "failed", false));
  CHECK(recent.lines() == std::vector<std::string>{"00:00:02 UTC two"});
  CHECK(recent.take_beyond(0) == std::vector<std::string>{"00:00:02 UTC two"});
  CHECK(recent.lines().empty());
}
