// noonfalld from its first start to a run that is over.
#include <filesystem>

#include <doctest/doctest.h>

#include "lib/shotlog/replay.h"
#include "tests/program/daemon/field.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

std::string report_of(const std::string& log) {
  const auto ran = run_program(NOONFALL_PROGRAM, "report '" + log + "'");
  return ran.exit == 0 ? ran.out : ran.err;
}

}  // namespace

TEST_CASE("a plan is shot to its end, and its log and its bodies say the same of it") {
  Field field;
  field.begin(field_plan);
  CHECK(field.exit() == 0);
  CHECK(shotlog::replay(field.daemon.log()).damage.empty());
  CHECK_FALSE(shotlog::replay(field.daemon.log()).torn_tail);
  CHECK(field.broken().empty());
  CHECK(field.fired("crescent") > 0);
  CHECK(field.fired("corona") > 60);
  CHECK(field.fired("land") > 0);
  CHECK(field.ended(shotlog::RunEnd::done));
  CHECK(field.daemon.workers().empty());
  CHECK(field.printed().ends_with(" UTC the plan is done\nWhat became of it: noonfall report " +
                                  field.folder() + "/shots.jsonl\n"));
  CHECK(report_of(field.folder() + "/shots.jsonl")
            .starts_with("A field: total eclipse of 2020-12-14, a rehearsal on simulated bodies\n"));
}

TEST_CASE("a run that is over is not begun again but for --afresh, which puts it aside whole") {
  Field field;
  field.speed = "100";
  field.begin(field_plan);
  REQUIRE(field.exit() == 0);
  const auto log = field.daemon.log();
  const auto taken = field.file("rig-0.taken.jsonl");
  const auto over =
      "This run is over: its log is " + field.folder() + "/shots.jsonl. --afresh begins another.\n";

  SUBCASE("with nothing but its folder") {
    const auto again = field.run("");
    CHECK(again.exit == 0);
    CHECK(again.out == over);
    CHECK(again.err.empty());
    CHECK(field.daemon.log() == log);
  }
  SUBCASE("with its plan") {
    const auto again = field.run("'" + field.plan(field_plan) + "' --simulate --move C2=+1min");
    CHECK(again.exit == 0);
    CHECK(again.out == over);
    CHECK(field.daemon.log() == log);
  }
  SUBCASE("afresh") {
    field.speed = "40";
    field.begin(field_plan, {"--afresh"});
    CHECK(comes_true([&] { return field.noted("an earlier run was put aside into earlier-1"); }));
    CHECK(field.comes_to_fire("land"));
    CHECK(field.file("earlier-1/shots.jsonl") == log);
    CHECK(field.file("earlier-1/rig-0.taken.jsonl") == taken);
    field.daemon.kill(SIGINT);
    CHECK(field.exit() == 0);
    CHECK(field.broken().empty());
    field.begin(field_plan, {"--afresh"});
    CHECK(comes_true([&] { return field.noted("an earlier run was put aside into earlier-2"); }));
    CHECK(field.file("earlier-1/shots.jsonl") == log);
    CHECK(field.comes_to_fire("land"));
  }
}

TEST_CASE("who comes late shoots what is left of the plan, and the log says what was passed over") {
  Field field;
  field.daemon.start({field.plan(field_plan), "--simulate", "--move", "C2=-40s", "--speed", "40"});
  CHECK(field.exit() == 0);
  CHECK(field.broken().empty());
  CHECK(field.fired("crescent") == 0);
  CHECK(field.fired("corona") > 10);
  CHECK(field.fired("land") > 0);
  const auto lines = field.lines();
  REQUIRE(!lines.empty());
  const auto began = lines.front().utc;
  CHECK(field.count<shotlog::Intent>([&](const auto& intent) { return intent.latest < began; }) == 0);
  CHECK(field.count<shotlog::Skip>([](const auto& skip) {
    return skip.frame.step == "crescent" && skip.reason == shotlog::SkipReason::late;
  }) == 9);
}

TEST_CASE("outside the path of totality the filter stays on, and the partial phase is shot") {
  Field field;
  // 300 km north of the path; MID stands for itself there, C2 and C3 are not to be had.
  auto plan = with(field_plan, "latitude: -39.5", "latitude: -36.5");
  plan = with(plan, "from: C2 - 80 s\n    until: C2 - 35 s\n    every: 5 s\n    patience: 4 s",
              "from: MID - 80 s\n    until: MID - 35 s\n    every: 5 s\n    patience: 4 s");
  field.daemon.start({field.plan(plan), "--simulate", "--move", "MID=+100s", "--speed", "40"});
  CHECK(field.exit() == 0);
  CHECK(field.fired("crescent") > 0);
  CHECK(field.fired("corona") == 0);
  CHECK(field.fired("land") == 0);
  CHECK(field.broken().empty());
  const auto header = field.all<shotlog::Header>();
  REQUIRE(header.size() == 1);
  for (const auto& rig : header.front().rigs) CHECK_FALSE(rig.window);
  CHECK(field.count<shotlog::FilterChange>([](const auto&) { return true; }) == 0);
  for (const auto* step : {"corona", "land"}) {
    CHECK(field.count<shotlog::Skip>([&](const auto& skip) {
      return skip.frame.step == step && skip.frame.set == 0 &&
             skip.why == "there is no C2: the eclipse is partial at the site";
    }) == 1);
  }
  CHECK(field.printed().find(
            " UTC ALARM long: corona is left out: there is no C2: the eclipse is partial at the site\n") !=
        std::string::npos);
}
