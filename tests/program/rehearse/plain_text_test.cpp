// Whatever a log, a plan or a file's name holds, nothing that commands a terminal or hides comes out of the
// program: no control character but line ends, none that is invisible by its category in the Unicode
// Character Database.
#include <filesystem>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "lib/shotlog/codec.h"
#include "lib/shotlog/replay.h"
#include "tests/program/run_program.h"
#include "tests/source_folder.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

const std::string plan = std::string{"'"} + NOONFALL_SOURCE + "/plans/first-light.yaml'";

// By ECMA-48: a CSI that erases the screen, an OSC 8 link, a C1 CSI; a line of its own that claims something;
// NUL; RIGHT-TO-LEFT OVERRIDE, ZERO WIDTH SPACE, LINE SEPARATOR; a byte that isn't UTF-8.
const std::string hostile = std::string{"x\x1b[2J\x1b]8;;http://a\x1b\\y\u009B31m\n0 frames OUTSIDE\r"} +
                            '\0' + "\u202E\u200B\u2028\xFFz";

/// What remains of it: a sign for each.
const std::string tamed =
    "x\uFFFD[2J\uFFFD]8;;http://a\uFFFD\\y\uFFFD31m\uFFFD0 frames OUTSIDE\uFFFD\uFFFD"
    "\uFFFD\uFFFD\uFFFD\uFFFDz";

/// The same without what no file's name and no argument can hold.
const std::string hostile_name = "x\x1b[2J\u009B31m\nerror: all is well\u202E\u200B\u2028\xFFz";

/// Written out here, apart from the program's own function.
std::string forbidden_in(const std::string& text) {
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if ((byte < 0x20 && c != '\n') || byte == 0x7F || byte == 0xFF) return "byte " + std::to_string(byte);
  }
  for (const auto* sequence : {"\u009B", "\u200B", "\u2028", "\u202E"})
    if (text.find(sequence) != std::string::npos) return sequence;
  return {};
}

void check_plain(const Ran& ran) {
  CHECK(forbidden_in(ran.out) == "");
  CHECK(forbidden_in(ran.err) == "");
  CHECK(ran.out.find("\nerror: all is well") == std::string::npos);
  CHECK(ran.err.find("\nerror: all is well") == std::string::npos);
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

Ran noonfall_program(const std::string& arguments) {
  return run_program(NOONFALL_PROGRAM, arguments);
}

void make_hostile(shotlog::FrameName& frame) {
  frame.rig += hostile;
  frame.step += hostile;
}

/// The log of a rehearsal, its checksums right, in which everything that anybody can have chosen is hostile.
std::string hostile_log() {
  const ScratchFolder folder;
  REQUIRE(noonfall_program("rehearse " + plan + " --log " + folder.path("shots.jsonl")).exit == 0);
  auto lines = shotlog::replay(text_of_file(folder.path("shots.jsonl"))).lines;
  std::string log;
  for (auto& line : lines) {
    if (auto* header = std::get_if<shotlog::Header>(&line.entry)) {
      header->title = hostile;
      for (auto& rig : header->rigs) {
        rig.rig += hostile;
        for (auto& step : rig.steps) step.step += hostile;
      }
    }
    if (auto* intent = std::get_if<shotlog::Intent>(&line.entry)) make_hostile(intent->frame);
    if (auto* outcome = std::get_if<shotlog::FrameOutcome>(&line.entry)) {
      make_hostile(outcome->frame);
      outcome->files = {hostile};
      outcome->result = order::Outcome::failed;
      outcome->why = hostile;
    }
    if (std::holds_alternative<shotlog::CueLine>(line.entry))
      line.entry = shotlog::BodyNews{hostile, false, hostile};
    log += shotlog::encode(line);
  }
  return log;
}

}  // namespace

TEST_CASE("a report shows a hostile log's texts with a sign for each character that isn't one") {
  const ScratchFolder folder;
  const auto log = folder.file("shots.jsonl", hostile_log());
  const auto text = noonfall_program("report " + log);
  check_plain(text);
  CAPTURE(text.out);
  CHECK(text.out.starts_with(tamed + ": total eclipse of 2027-08-02"));
  CHECK(has(text.out, "long" + tamed));
  CHECK(has(text.out, "corona" + tamed));
  CHECK(has(text.out, " x x\uFFFD[2J\uFFFD]8;;http (plan line"));
  CHECK(has(text.out, tamed + ": " + tamed + "\n"));
  CHECK_FALSE(has(text.out, "\n0 frames OUTSIDE"));
  const auto screen = noonfall_program("report --csv - " + log);
  check_plain(screen);
  REQUIRE(noonfall_program("report --csv " + folder.path("out.csv") + " " + log).exit == screen.exit);
  CHECK(text_of_file(folder.path("out.csv")) == screen.out);
  CHECK(has(screen.out, "\"long" + tamed + "\""));
  REQUIRE(noonfall_program("report " + log + " " + log + " --html " + folder.path("out.html") + " --json -")
              .exit == screen.exit);
  CHECK(forbidden_in(text_of_file(folder.path("out.html"))) == "");
  std::filesystem::create_directory(folder.path("card"));
  const auto collated = noonfall_program("collate " + log + " --photos " + folder.path("card") +
                                         " --manifest " + folder.path("all.csv"));
  CHECK(collated.exit == 0);
  check_plain(collated);
  CHECK(forbidden_in(text_of_file(folder.path("all.csv"))) == "");
}

TEST_CASE("a plan's title, names and mistakes are shown plainly by check and rehearse") {
  const ScratchFolder folder;
  auto text = text_of_file(std::string{NOONFALL_SOURCE} + "/plans/first-light.yaml");
  const std::string hidden = "\u202E\u200B\u2028";
  const auto title = text.find("First light");
  REQUIRE(title != std::string::npos);
  text.insert(title + 2, hidden);
  const auto step = text.find("name: corona");
  REQUIRE(step != std::string::npos);
  text.insert(step + 8, hidden);
  const auto good = folder.file("good.yaml", text);
  for (const auto* command : {"check ", "check --json ", "rehearse "}) {
    const auto ran = noonfall_program(command + good);
    CAPTURE(ran.out);
    CHECK(ran.exit == 0);
    check_plain(ran);
    CHECK(has(ran.out, "co\uFFFD\uFFFD\uFFFDrona"));
  }
  const auto bad = folder.file("bad.yaml", text + "\nk" + hidden + "ey: \"\x1b\xFF\"\n");
  const auto wrong = noonfall_program("check " + bad);
  CHECK(wrong.exit == 1);
  check_plain(wrong);
}

TEST_CASE("the daemon shows no folder, plan, option or told word as it is written") {
  const ScratchFolder folder;
  const auto name = "'" + folder.path(hostile_name) + "'";
  const auto state = " --state " + name;
  for (const auto& line :
       {name, name + " --simulate" + state, state, "--" + name, "x --move " + name + " --simulate",
        state + " --tell hold " + name, state + " --tell " + name,
        plan + " --simulate --move C2=+5min --faults " + name + " --state " + folder.path("run")}) {
    CAPTURE(line);
    const auto ran = run_program(NOONFALL_DAEMON, line);
    CHECK(ran.exit != 0);
    check_plain(ran);
    const auto camera = run_program(NOONFALL_CAMERA, line);
    CHECK(camera.exit != 0);
    check_plain(camera);
  }
}

TEST_CASE("no command shows a file's name as it is written") {
  const ScratchFolder folder;
  const auto missing = "'" + folder.path(hostile_name) + "'";
  const auto there = "'" + folder.file(hostile_name + ".yaml", "noonfall: 2\n") + "'";
  // Every command that takes a file or a folder, with one that is missing and one that is wrong.
  for (const std::string command :
       {"check ", "check --json ", "check --bodies DIR ", "rehearse ", "rehearse --faults FILE ", "report ",
        "contacts 2027-08-02 --sites ", "contacts 2027-08-02 --at 36,-5.6,12 --limb-data ",
        "exposures --body ", "limb build ", "collate ", "collate --photos . --manifest ", "cameras --try ",
        "path 2027-08-02 --elements ", "contacts 2027-08-02 --zone ", "", "check --", "eclipses "}) {
    for (const auto& file : {missing, there}) {
      auto line = command + file;
      if (command.ends_with("FILE ") || command.ends_with("DIR "))
        line = command.substr(0, command.rfind(' ', command.size() - 2) + 1) + file + " " + plan;
      CAPTURE(line);
      const auto ran = noonfall_program(line);
      CHECK(ran.exit != 0);
      check_plain(ran);
    }
  }
}
