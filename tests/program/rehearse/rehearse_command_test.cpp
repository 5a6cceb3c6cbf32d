// noonfall rehearse and noonfall report as a user's shell runs them, against the command contract: results on
// stdout, diagnostics on stderr, exit 1 for work with errors, 2 for a wrong command line, 3 for the
// environment.
#include <algorithm>
#include <string>

#include <doctest/doctest.h>

#include "tests/program/run_program.h"
#include "tests/source_folder.h"

using namespace noonfall::tests;

namespace {

const std::string plan = std::string{"'"} + NOONFALL_SOURCE + "/plans/first-light.yaml'";

Ran noonfall_program(const std::string& arguments) {
  return run_program(NOONFALL_PROGRAM, arguments);
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::string log_with(const std::string& options) {
  const ScratchFolder folder;
  const auto ran =
      noonfall_program("rehearse " + plan + " " + options + " --log " + folder.path("shots.jsonl"));
  INFO(ran.err);
  REQUIRE(ran.exit == 0);
  return text_of_file(folder.path("shots.jsonl"));
}

}  // namespace

TEST_CASE("the version is the project's, and a command that isn't there is answered with the nearest") {
  const auto version = noonfall_program("--version");
  CHECK(version.exit == 0);
  CHECK(version.out.starts_with("noonfall " NOONFALL_VERSION
                                "\nelements: 1960-03-27 to 2060-10-24, 222 of DE405, 2 of Swiss Ephemeris\n"
                                "lunar heights: "));
  CHECK(run_program(NOONFALL_DAEMON, "--version").out == "noonfalld" + version.out.substr(8));
  CHECK(run_program(NOONFALL_CAMERA, "--version").out == "noonfall-camera " NOONFALL_VERSION "\n");
  const auto near = noonfall_program("contact 2027-08-02");
  CHECK(near.exit == 2);
  CHECK(near.out.empty());
  CHECK(near.err ==
        "there is no command \"contact\": did you mean contacts?\nRun with --help for more information.\n");
  CHECK(noonfall_program("xyzzy").err ==
        "there is no command \"xyzzy\"\nRun with --help for more information.\n");
}

TEST_CASE("the same plan and seed give the same bytes, another seed others") {
  const auto log = log_with("--seed 7");
  CHECK(log == log_with("--seed 7"));
  CHECK(log != log_with("--seed 8"));
  CHECK(std::count(log.begin(), log.end(), '\n') > 1000);
}

TEST_CASE("rehearse prints its summary to stdout, and report the same from the log alone") {
  const ScratchFolder folder;
  const auto log = folder.path("shots.jsonl");
  const auto rehearsed = noonfall_program("rehearse " + plan + " --log " + log);
  CHECK(rehearsed.exit == 0);
  CHECK(rehearsed.err.empty());
  CHECK(has(rehearsed.out, "a rehearsal on simulated bodies"));
  const auto reported = noonfall_program("report " + log);
  CHECK(reported.exit == 0);
  CHECK(reported.err.empty());
  CHECK(reported.out == rehearsed.out);
}

TEST_CASE("rehearse never overwrites a log") {
  const ScratchFolder folder;
  const auto log = folder.file("shots.jsonl", "the day's only record\n");
  const auto ran = noonfall_program("rehearse " + plan + " --log " + log);
  CHECK(ran.exit == 3);
  CHECK(ran.out.empty());
  CHECK(has(ran.err, "can't write " + log + ": it exists already; move it away or choose another name"));
  CHECK(text_of_file(log) == "the day's only record\n");
}

TEST_CASE("a log that can't be written is the environment's failure") {
  const ScratchFolder folder;
  const auto ran = noonfall_program("rehearse " + plan + " --log " + folder.path("nowhere/shots.jsonl"));
  CHECK(ran.exit == 3);
  CHECK(ran.out.empty());
  CHECK(has(ran.err, "No such file or directory"));
}

TEST_CASE("a plan with errors: all of them on stderr, nothing on stdout, no log") {
  const ScratchFolder folder;
  const auto bad = folder.file("plan.yaml",
                               "noonfall: 1\n"
                               "titel: Bench\n"
                               "eclipse: 2027-08-02\n"
                               "site: {latitude: 136.0139, longitude: -5.6033, elevation: 12}\n"
                               "rigs: {}\n"
                               "steps: []\n");
  const auto ran = noonfall_program("rehearse " + bad + " --log " + folder.path("shots.jsonl"));
  CHECK(ran.exit == 1);
  CHECK(ran.out.empty());
  CHECK(has(ran.err, bad + ":2:1: error: the plan has no key \"titel\""));
  CHECK(has(ran.err, bad + ":4:18: error: latitude: \"136.0139\" is out of range"));
  CHECK(has(ran.err, bad + ":4:59: error: elevation: \"12\" has no unit"));
  CHECK(has(ran.err, bad + ":5:7: error: rigs: an empty mapping here"));
  CHECK(has(ran.err, bad + ":6:8: error: steps: an empty list here"));
  CHECK_FALSE(std::filesystem::exists(folder.path("shots.jsonl")));
}

TEST_CASE("a fault script with errors is refused with its place") {
  const ScratchFolder folder;
  const auto faults = folder.file(
      "faults.yaml", "noonfall_faults: 1\nfaults:\n  - {rig: lnog, fault: gone, from: C2, for: 5 s}\n");
  const auto ran = noonfall_program("rehearse " + plan + " --faults " + faults);
  CHECK(ran.exit == 1);
  CHECK(ran.out.empty());
  CHECK(has(ran.err, faults + ":3:"));
  CHECK(has(ran.err, "lnog"));
}

TEST_CASE("trials tell the odds, the same for the same seed, as a table or as data") {
  const auto table = noonfall_program("rehearse " + plan + " --trials 4 --seed 5");
  CHECK(table.exit == 0);
  CHECK(table.out.starts_with("First light: 4 trials on simulated bodies\n"));
  CHECK(has(table.out, "the bodies' own times are 0.8 to 1.25 of their profiles'"));
  CHECK(table.out == noonfall_program("rehearse " + plan + " --trials 4 --seed 5 --threads 1").out);
  const auto data = noonfall_program("rehearse " + plan + " --trials 4 --seed 5 --detune 1 --gone 3 --json");
  CHECK(data.exit == 0);
  CHECK(has(data.out, "\"gone_an_hour\": 3.0"));
  CHECK(has(data.out, "\"unfiltered_outside_window\": 0.0"));
}

TEST_CASE("what goes with trials only, or not with them, is a wrong command line") {
  for (const std::string options :
       {"--detune 0.8..1.25", "--gone 1", "--json", "--threads 2", "--trials 3 --log a", "--trials 0",
        "--trials 2.5", "--trials 3 --detune 1.25..0.8", "--trials 3 --detune 0.1..1",
        "--trials 3 --lost-frame 2"}) {
    CAPTURE(options);
    const auto ran = noonfall_program("rehearse " + plan + " " + options);
    CHECK(ran.exit == 2);
    CHECK(ran.out.empty());
    CHECK_FALSE(ran.err.empty());
  }
}

TEST_CASE("check draws the plan and writes the field sheet, and never over a file") {
  const ScratchFolder folder;
  const auto files = " --svg " + folder.path("a.svg") + " --sheet " + folder.path("a.html");
  const auto ran = noonfall_program("check " + plan + files);
  CHECK(ran.exit == 0);
  CHECK(text_of_file(folder.path("a.svg")).starts_with("<svg "));
  CHECK(text_of_file(folder.path("a.html")).starts_with("<!DOCTYPE html>"));
  const auto again = noonfall_program("check " + plan + files);
  CHECK(again.exit == 3);
  CHECK(has(again.err, "it exists already"));
  CHECK(noonfall_program("check " + plan + " --sheet " + folder.path("a.pdf")).exit == 2);
}

TEST_CASE("files that aren't there are the environment's failure, named") {
  for (const std::string command : {"rehearse ./nowhere.yaml", "report ./nowhere.jsonl"}) {
    const auto ran = noonfall_program(command);
    INFO(command);
    CHECK(ran.exit == 3);
    CHECK(ran.out.empty());
    CHECK(has(ran.err, "can't read ./nowhere"));
  }
}

TEST_CASE("wrong command lines exit with 2") {
  CHECK(noonfall_program("rehearse").exit == 2);
  CHECK(noonfall_program("report").exit == 2);
  CHECK(noonfall_program("rehearse " + plan + " --seed many").exit == 2);
  CHECK(noonfall_program("rehearse " + plan + " --detune 0").exit == 2);
  CHECK(noonfall_program("report a.jsonl --svg b").exit == 2);
}

TEST_CASE("report of what is no log says so once, however many lines it has") {
  const ScratchFolder folder;
  const auto file = folder.file("notes.txt", "one\ntwo\nthree\n");
  const auto ran = noonfall_program("report " + file);
  CHECK(ran.exit == 1);
  CHECK(ran.out.empty());
  CHECK(ran.err == "error: " + file +
                       " is no shot log: its first line isn't a header\n"
                       "  wanted: a file that noonfall rehearse --log or noonfalld wrote\n");
}

TEST_CASE("report reads a torn log to its last sound line, and points at damage before it") {
  const ScratchFolder folder;
  auto log = log_with("");
  log.resize(log.size() / 2);
  const auto torn = noonfall_program("report " + folder.file("torn.jsonl", log));
  CHECK(torn.exit == 0);
  CHECK(torn.err.empty());
  CHECK(has(torn.out, "The last line was torn"));
  CHECK(has(torn.out, "the run was cut off"));
  log[log.find('\n') + 2] = '#';
  const auto damaged_path = folder.file("damaged.jsonl", log);
  const auto damaged = noonfall_program("report " + damaged_path);
  CHECK(damaged.exit == 1);
  CHECK(has(damaged.err, damaged_path + ":2:1: error: "));
  CHECK(has(damaged.out, "1 line of the log is damaged and was left out."));
}

TEST_CASE("report --csv - prints the table only, and --csv never overwrites a file") {
  const ScratchFolder folder;
  const auto log = folder.file("shots.jsonl", log_with(""));
  const auto ran = noonfall_program("report " + log + " --csv -");
  CHECK(ran.exit == 0);
  CHECK(ran.err.empty());
  CHECK(ran.out.substr(0, ran.out.find('\n')) ==
        "rig,step,plan_line,subject,filter,from_utc,until_utc,planned_sets,planned_frames,whole_sets,fired,"
        "failed,"
        "unknown,skipped,cancelled,open,median_late_ms,most_late_ms,reasons,never_asked");
  CHECK(std::count(ran.out.begin(), ran.out.end(), '\n') == 4);  // three steps
  const auto table = folder.path("table.csv");
  CHECK(noonfall_program("report " + log + " --csv " + table).exit == 0);
  CHECK(text_of_file(table) == ran.out);
  const auto again = noonfall_program("report " + log + " --csv " + table);
  CHECK(again.exit == 3);
  CHECK(has(again.err, "it exists already"));
}

TEST_CASE("report of a log and its torn copy is that of the log, and a page and an object go to files") {
  const ScratchFolder folder;
  const auto whole = log_with("");
  const auto log = folder.file("shots.jsonl", whole);
  const auto copy = folder.file("copy.jsonl", whole.substr(0, whole.size() / 2));
  const auto both = noonfall_program("report " + copy + " " + log + " --csv -");
  CHECK(both.exit == 0);
  CHECK(both.out == noonfall_program("report " + log + " --csv -").out);
  const auto made = noonfall_program("report " + log + " --html " + folder.path("page.html") + " --json " +
                                     folder.path("all.json"));
  CHECK(made.exit == 0);
  CHECK(made.out.empty());
  CHECK(has(text_of_file(folder.path("page.html")), "<h2>The whole run</h2>"));
  CHECK(has(text_of_file(folder.path("all.json")), "\"planned_frames\": "));
  CHECK(noonfall_program("report " + log + " --html " + folder.path("page.html")).exit == 3);
}
