// What an operator tells a daemon that runs: each command in the log, and in effect from there on.
#include <csignal>

#include <doctest/doctest.h>

#include "daemon/operator/tell.h"
#include "tests/program/daemon/field.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

/// The commands carried out, in order.
std::vector<std::string> commands(const Field& field) {
  std::vector<std::string> words;
  for (const auto& command : field.all<shotlog::CommandLine>()) {
    if (command.why.empty()) words.push_back(to_text(command.command));
  }
  return words;
}

/// Frames asked of the rig in the log between two commands; to the end without the second.
std::vector<shotlog::Intent> asked_between(const Field& field, const std::string& rig,
                                           const std::string& from, const std::string& until = "") {
  std::vector<shotlog::Intent> intents;
  bool within = false;
  for (const auto& line : field.lines()) {
    if (const auto* command = std::get_if<shotlog::CommandLine>(&line.entry)) {
      if (to_text(command->command) == from) within = true;
      if (to_text(command->command) == until) within = false;
    }
    const auto* intent = std::get_if<shotlog::Intent>(&line.entry);
    if (intent != nullptr && within && intent->frame.rig == rig) intents.push_back(*intent);
  }
  return intents;
}

}  // namespace

TEST_CASE("a rig that is held is asked for nothing until it is resumed") {
  Field field;
  field.speed = "20";
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("corona", 3));
  const auto held = field.tell("hold long");
  CHECK(held.exit == 0);
  CHECK(held.out == "hold long\n");
  CHECK(held.err.empty());
  REQUIRE(field.comes_to_fire("land", static_cast<int>(field.fired("land")) + 3));
  const auto fired = field.fired("corona");
  CHECK(field.tell("resume long").exit == 0);
  CHECK(field.comes_to_fire("corona", static_cast<int>(fired) + 6));
  CHECK(commands(field) == std::vector<std::string>{"hold long", "resume long"});
  CHECK(asked_between(field, "long", "hold long", "resume long").empty());
  CHECK(asked_between(field, "wide", "hold long", "resume long").size() >= 2);
  field.daemon.kill(SIGINT);
  CHECK(field.exit() == 0);
  CHECK(field.broken().empty());
}

TEST_CASE("a trim changes every exposure asked for later, and trims add up") {
  Field field;
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("land", 2));
  CHECK(field.tell("trim wide -1 stop").exit == 0);
  REQUIRE(field.comes_to_fire("land", static_cast<int>(field.fired("land")) + 3));
  CHECK(field.tell("trim wide -1/3 stop").exit == 0);
  REQUIRE(field.comes_to_fire("land", static_cast<int>(field.fired("land")) + 3));
  const auto told = commands(field);
  REQUIRE(told.size() == 2);
  for (const auto& intent : asked_between(field, "wide", told[0], told[1]))
    CHECK(exposure::to_text(intent.exposure.shutter) == "1/250");
  const auto later = asked_between(field, "wide", told[1]);
  CHECK(!later.empty());
  for (const auto& intent : later) CHECK(exposure::to_text(intent.exposure.shutter) == "1/320");
}

TEST_CASE("a step that is skipped is left out, and the log says by whom") {
  Field field;
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("crescent"));
  CHECK(field.tell("skip corona").exit == 0);
  CHECK(field.exit() == 0);
  CHECK(commands(field) == std::vector<std::string>{"skip corona"});
  CHECK(field.count<shotlog::Intent>([](const auto& intent) { return intent.frame.step == "corona"; }) == 0);
  CHECK(field.count<shotlog::Skip>([](const auto& skip) {
    return skip.frame.step == "corona" && skip.reason == shotlog::SkipReason::skipped;
  }) == 1);
  CHECK(field.fired("land") > 10);
}

TEST_CASE("the camera filter as a person saw it is logged as confirmed") {
  Field field;
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("crescent"));
  CHECK(field.tell("filter long off").exit == 0);
  CHECK(field.tell("filter long on").exit == 0);
  std::vector<shotlog::FilterState> confirmed;
  for (const auto& change : field.all<shotlog::FilterChange>()) {
    if (change.confirmed) confirmed.push_back(change.state);
  }
  CHECK(confirmed == std::vector{shotlog::FilterState::off, shotlog::FilterState::on});
  CHECK(field.printed().find("long: camera filter OFF, confirmed\n") != std::string::npos);
}

TEST_CASE("an operator who vouches for the clock is in the log") {
  Field field;
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("crescent"));
  CHECK(field.tell("clock ok").exit == 0);
  CHECK(commands(field) == std::vector<std::string>{"clock ok"});
}

TEST_CASE("stop ends every rig and the daemon") {
  Field field;
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("corona"));
  CHECK(field.tell("stop").exit == 0);
  CHECK(field.exit() == 0);
  CHECK(field.daemon.workers().empty());
  CHECK(commands(field) == std::vector<std::string>{"stop"});
  CHECK(field.ended(shotlog::RunEnd::stopped));
  CHECK(field.broken().empty());
}

TEST_CASE("a command that can't be carried out says what is wanted, and changes nothing") {
  Field field;
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("crescent"));
  const auto refusal = [&](const std::string& words) {
    const auto answer = field.tell(words);
    CHECK(answer.exit == 1);
    CHECK(answer.out.empty());
    return answer.err;
  };
  CHECK(refusal("hold lung") == "there is no rig \"lung\" (wanted: \"long\")\n");
  CHECK(refusal("hold") == "no rig is named (wanted: \"long\", \"wide\")\n");
  CHECK(refusal("") ==
        "nothing was said (wanted: hold RIG, resume RIG, trim RIG -1 stop, skip STEP, filter RIG on or off, "
        "clock ok, "
        "or stop)\n");
  CHECK(refusal("halt long") == "\"halt\" is no command (wanted: hold)\n");
  CHECK(refusal("trim long -1") ==
        "\"long -1\" doesn't end in a trim (wanted: trim RIG -1 stop, or +0.5 stops, or +1/3 stop; from -6 "
        "to 6 in "
        "halves or thirds; the rigs are \"long\", \"wide\")\n");
  CHECK(refusal("trim long 99 stops").starts_with("\"long 99 stops\" doesn't end in a trim"));
  CHECK(refusal("skip coronna") == "there is no step \"coronna\" (wanted: \"corona\")\n");
  CHECK(refusal("filter long away") ==
        "a filter isn't \"away\" (wanted: filter RIG on, or filter RIG off)\n");
  CHECK(refusal("filter wide on") == "the rig has no camera filter\n");
  CHECK(refusal("clock fine") ==
        "\"fine\" says nothing of the clock (wanted: clock ok, when you have compared it with a good one)\n");
  CHECK(refusal("stop now") ==
        "\"now\" after stop, which ends every rig (wanted: stop alone; for one rig, hold RIG)\n");
  CHECK(refusal("\"$(printf 'hold\\nstop')\"") == "a command is one line of at most 4096 bytes\n");
  CHECK(commands(field).empty());
  CHECK(field.comes_to_fire("corona"));
}

TEST_CASE("help lists the commands, and needs no folder where one run is going on, wherever that lies") {
  Field field;
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("land"));
  const auto help = field.tell("help");
  CHECK(help.exit == 0);
  for (const auto* command : {"hold RIG ", "resume RIG ", "trim RIG -1 stop ", "skip STEP ",
                              "filter RIG on|off ", "clock ok ", "stop ", "help "})
    CHECK(("\n" + help.out).find("\n" + std::string{command}) != std::string::npos);
  // Others may run on this machine: then all of them are named.
  const auto anywhere = run_program(NOONFALL_DAEMON, "--tell help");
  CHECK((anywhere.out == help.out || anywhere.err.find(field.folder()) != std::string::npos));
  CHECK(commands(field).empty());
}

TEST_CASE("where nobody runs there is nobody to tell") {
  Field field;
  const auto unheard = field.tell("hold long");
  CHECK(unheard.exit == 3);
  CHECK(unheard.err == "error: no noonfalld runs in " + field.folder() +
                           "\n  wanted: start one, or name its folder with --state DIR\n");
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("land"));
  field.daemon.kill(SIGKILL);
  (void)field.exit();
  CHECK(field.tell("stop").exit == 3);
}

TEST_CASE("a flood of words that are no commands is answered to the last, and the log stays short") {
  Field field;
  field.speed = "1";
  field.begin(field_plan);
  REQUIRE(comes_true([&] { return field.tell("clock ok").exit == 0; }));
  constexpr int flood = 2000;
  int refused = 0;
  for (int n = 0; n < flood; ++n) {
    const auto answer = control::tell(field.folder(), "sing a song");
    if (answer && !answer->ok && answer->words.find("sing") != std::string::npos) ++refused;
  }
  CHECK(refused == flood);
  const auto noted = field.count<shotlog::Note>(
      [](const auto& note) { return note.words.find("sing a song") != std::string::npos; });
  CHECK(noted >= 1);
  CHECK(noted < flood / 4);
  CHECK(field.tell("hold long").exit == 0);  // which nobody's flood keeps out
  CHECK(field.tell("hold nobody").exit == 1);
  CHECK(field.tell("stop").exit == 0);
  CHECK(field.exit() == 0);
  CHECK(field.count<shotlog::Note>([](const auto& note) {
    return note.words.ends_with("more refused commands are left out of the log: 20 in 10 s are logged");
  }) >= 1);
}
