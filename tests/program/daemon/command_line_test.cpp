// Command lines that can't be carried out, and what is said of them before anything is made or touched.
#include <filesystem>

#include <csignal>

#include <sys/stat.h>

#include <doctest/doctest.h>

#include "tests/program/daemon/field.h"

using namespace noonfall;
using namespace noonfall::tests;

TEST_CASE("what isn't a command line ends with 2, and no folder is made for it") {
  const Field field;
  const auto plan = "'" + field.plan(field_plan) + "' ";
  const auto refused = [&](const std::string& arguments) {
    const auto ran = field.run(arguments);
    CHECK(ran.exit == 2);
    CHECK(ran.out.empty());
    CHECK_FALSE(std::filesystem::exists(field.folder()));
    return ran.err;
  };
  const std::string help = "Run with --help for more information.\n";
  const std::string such = "\n  wanted: such as C2=+5min, or C2=2026-07-01T20:00:00Z\n";
  CHECK(refused(plan + "--simulate --move C2") ==
        "error: --move takes a contact and where it goes, not \"C2\"" + such);
  CHECK(refused(plan + "--simulate --move C5=+1min") ==
        "error: --move takes a contact and where it goes, not \"C5=+1min\"" + such);
  CHECK(refused(plan + "--simulate --move C2=+5") ==
        "error: --move C2= goes to \"+5\", which is neither a span from now nor an instant" + such);
  CHECK(refused(plan + "--simulate --move C2=tomorrow") ==
        "error: --move C2= goes to \"tomorrow\", which is neither a span from now nor an instant" + such);
  CHECK(refused(plan + "--speed 2") == "--speed requires --simulate\n" + help);
  CHECK(refused(plan + "--seed 2") == "--seed requires --simulate\n" + help);
  CHECK(refused(plan + "--detune 1.1") == "--detune requires --simulate\n" + help);
  CHECK(refused(plan + "--faults x") == "--faults requires --simulate\n" + help);
  CHECK(refused(plan + "--simulate --speed nan") ==
        "--speed: \"nan\" is no number from 0.1 to 1000\n" + help);
  CHECK(refused(plan + "--simulate --detune 2") == "--detune: \"2\" is no number from 0.7 to 1.3\n" + help);
  CHECK(refused(plan + "--simulate --seed -1").find("--seed") != std::string::npos);
  CHECK(refused(plan + "again.yaml") == "The following argument was not expected: again.yaml\n" + help);
}

TEST_CASE("a pipe or a device as the plan is refused before anybody waits for its end") {
  const Field field;
  const auto pipe = field.scratch.path("pipe.yaml");
  REQUIRE(::mkfifo(pipe.c_str(), 0600) == 0);
  const auto by_daemon = field.run("'" + pipe + "' --simulate");
  CHECK(by_daemon.exit == 3);
  CHECK(by_daemon.err ==
        "error: can't read " + pipe + ": it is a pipe\n  wanted: a file, which a restart can read again\n");
  CHECK(field.run("/dev/stdin --simulate </dev/zero").err ==
        "error: can't read /dev/stdin: it is a device\n  wanted: a file, which a restart can read again\n");
  CHECK_FALSE(std::filesystem::exists(field.folder()));
  const auto checked = run_program(NOONFALL_PROGRAM, "check '" + pipe + "'");
  CHECK(checked.exit == 3);
  CHECK(checked.err == "error: can't read " + pipe + ": it is a pipe\n");
  CHECK(run_program(NOONFALL_PROGRAM, "check /dev/zero").err ==
        "error: can't read /dev/zero: it is a device\n");
}

TEST_CASE("a plan that the shell pipes in is checked to its end") {
  const Field field;
  const auto plan = field.plan(field_plan);
  const auto from_file = run_program(NOONFALL_PROGRAM, "check '" + plan + "'");
  const auto piped =
      run_program("/bin/sh", "-c '{ head -c 100 \"" + plan + "\"; sleep 0.2; tail -c +101 \"" + plan +
                                 "\"; } | \"" + NOONFALL_PROGRAM + "\" check /dev/stdin'");
  CHECK(from_file.exit == 0);
  CHECK(piped.exit == 0);
  CHECK(piped.out.substr(0, piped.out.find('\n')) == from_file.out.substr(0, from_file.out.find('\n')));
}

TEST_CASE("a pipe in the folder where the log or the settings should be is refused") {
  for (const std::string name : {"shots.jsonl", "run.json"}) {
    CAPTURE(name);
    const Field field;
    std::filesystem::create_directory(field.folder());
    (void)field.scratch.file("run/lock", "");
    REQUIRE(::mkfifo((field.folder() + "/" + name).c_str(), 0600) == 0);
    const auto ran = field.run("'" + field.plan(field_plan) + "' --simulate --move C2=+90s");
    CHECK(ran.exit == 3);
    CHECK(ran.err == "error: " + field.folder() + "/" + name +
                         " is a pipe, not a file\n"
                         "  wanted: it moved away, or another folder; --state DIR names one\n");
  }
}

TEST_CASE("without a plan there must be a run to go on with") {
  const auto nothing = run_program(NOONFALL_DAEMON, "");
  CHECK(nothing.exit == 2);
  CHECK(nothing.err == "error: no plan is given, and no run's folder\n  wanted: noonfalld PLAN\n");
  const Field field;
  const auto none_there = field.run("");
  CHECK(none_there.exit == 2);
  CHECK(none_there.err == "error: no run was begun in " + field.folder() + "\n  wanted: noonfalld PLAN\n");
  CHECK_FALSE(std::filesystem::exists(field.folder()));
}

TEST_CASE("a plan that can't be read is of the environment, and no folder is made for it") {
  const Field field;
  const auto missing = field.scratch.path("nowhere.yaml");
  const auto refused = field.run("'" + missing + "' --simulate");
  CHECK(refused.exit == 3);
  CHECK(refused.err == "error: can't read " + missing + ": No such file or directory\n");
  const auto folder = field.scratch.path("");
  CHECK(field.run("'" + folder + "'").err ==
        "error: can't read " + folder +
            ": it is a folder\n  wanted: a file, which a restart can read again\n");
  CHECK_FALSE(std::filesystem::exists(field.folder()));
}

TEST_CASE("a contact that doesn't happen at the site can't be moved") {
  const Field field;
  const auto refused = field.run("'" + field.plan(with(field_plan, "latitude: -39.5", "latitude: -36.5")) +
                                 "' --simulate --move C2=+5min");
  CHECK(refused.exit == 1);
  CHECK(refused.err.ends_with(
      "error: there is no C2 at this site to move\n  wanted: a contact that happens there, MID for one\n"));
}

TEST_CASE("a rehearsal that isn't moved is told how") {
  const Field field;
  const auto plan = field.plan(field_plan);
  const auto refused = field.run("'" + plan + "' --simulate");
  CHECK(refused.exit == 1);
  CHECK(refused.err ==
        "error: a rehearsal that isn't moved would wait for the real eclipse's own time\n"
        "  wanted: --move, such as C2=+5min, or C2=2026-07-01T20:00:00Z\n");
}

TEST_CASE("for real, simulated bodies are refused, each at its place") {
  const Field field;
  const auto plan = field.plan(field_plan);
  const auto refused = field.run("'" + plan + "'");
  CHECK(refused.exit == 1);
  const auto wanted = "  wanted: --simulate, or a body with its serial number in the plan\n";
  CHECK(refused.err == plan +
                           ":7:11: error: the body of long is a simulated one\n"
                           "    7 |     body: {simulate: mirrorless-20}\n"
                           "      |           ^\n" +
                           wanted + plan +
                           ":15:11: error: the body of wide is a simulated one\n"
                           "   15 |     body: {simulate: mirror-24}\n"
                           "      |           ^\n" +
                           wanted);
}

TEST_CASE("a fault script with errors is refused at its place") {
  const Field field;
  const auto script =
      field.scratch.file("faults.yaml", "noonfall_faults: 1\nfaults:\n  - {rig: lung, fault: gone}\n");
  const auto refused =
      field.run("'" + field.plan(field_plan) + "' --simulate --move C2=+90s --faults '" + script + "'");
  CHECK(refused.exit == 1);
  CHECK(refused.err.find(script + ":3:") != std::string::npos);
  const auto missing =
      field.run("'" + field.plan(field_plan) + "' --simulate --move C2=+90s --faults nowhere");
  CHECK(missing.exit == 3);
  CHECK(missing.err.ends_with("error: can't read nowhere: No such file or directory\n"));
}

TEST_CASE("a body that goes away for some seconds is waited for, and the report tells") {
  Field field;
  const auto script = field.scratch.file("faults.yaml",
                                         "noonfall_faults: 1\n"
                                         "faults:\n"
                                         "  - {rig: long, fault: gone, from: C2 + 20 s, for: 15 s}\n");
  field.begin(field_plan, {"--faults", script});
  CHECK(field.exit() == 0);
  CHECK(field.broken().empty());
  const auto faults = field.all<shotlog::BodyNews>();
  const auto away =
      std::find_if(faults.begin(), faults.end(), [](const auto& fault) { return !fault.ready; });
  REQUIRE(away != faults.end());
  CHECK(away->rig == "long");
  CHECK(std::any_of(away, faults.end(), [](const auto& fault) { return fault.ready; }));
  CHECK(field.printed().find("ALARM long: AWAY") != std::string::npos);
  CHECK(field.fired("corona") > 60);
  const auto report = run_program(NOONFALL_PROGRAM, "report '" + field.folder() + "/shots.jsonl'");
  CHECK(report.exit == 0);
  CHECK(report.out.find("long: " + away->why) != std::string::npos);
}

TEST_CASE("a run goes on as it was begun, and who asks otherwise is told so") {
  Field field;
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("land"));
  field.daemon.kill(SIGINT);
  REQUIRE(field.exit() == 0);
  field.daemon.start({"--simulate", "--speed", "2", "--seed", "9", "--move", "C2=+9min"});
  REQUIRE(field.comes_to_fire("corona"));
  const auto as_begun = [&](const std::string& option) {
    return "warning: a run in " + field.folder() + " goes on as it was begun: " + option +
           " is not taken\n  wanted: --afresh to begin another\n";
  };
  CHECK(field.printed().find(as_begun("--move") + as_begun("--speed") + as_begun("--seed")) !=
        std::string::npos);
}
