#include "lib/shotlog/command.h"

#include <doctest/doctest.h>

using namespace noonfall;
using namespace noonfall::shotlog;

namespace {

const CommandNames names{{"long", "wide angle", "on"}, {"beads in", "corona", "corona"}};

/// What the words are understood as.
Command read(std::string_view words) {
  const auto command = parse_command(words, names);
  if (!command) FAIL(to_text(command.error()));
  return *command;
}

std::string refusal(std::string_view words, const CommandNames& known = names) {
  auto command = parse_command(words, known);
  if (command) return "taken as: " + to_text(*command);
  attach_source(command.error(), "command", words);
  return to_text(command.error());
}

/// And said back as `back`.
void check(std::string_view words, std::string_view back, const Command& wanted) {
  CAPTURE(words);
  CHECK((read(words) == wanted));
  CHECK(to_text(wanted) == back);
}

}  // namespace

TEST_CASE("every command is understood and said back in one way") {
  check("hold long", "hold long", Hold{"long"});
  check("resume wide angle", "resume wide angle", Resume{"wide angle"});
  check("skip beads in", "skip beads in", SkipStep{"beads in"});
  check("filter long on", "filter long on", SetFilter{"long", FilterState::on});
  check("filter on off", "filter on off", SetFilter{"on", FilterState::off});
  check("trim wide angle -1 stop", "trim wide angle -1 stop", Trim{"wide angle", -1});
  check("clock ok", "clock ok", ClockOk{});
  check("stop", "stop", Stop{});
  check("  hold\t wide angle ", "hold wide angle", Hold{"wide angle"});
}

TEST_CASE("a trim is in halves or thirds of a stop, up to six") {
  check("trim long +0.5 stops", "trim long +0.5 stop", Trim{"long", 0.5});
  check("trim long 1/3 stop", "trim long +1/3 stop", Trim{"long", 1.0 / 3});
  check("trim long -3/2 stops", "trim long -1.5 stops", Trim{"long", -1.5});
  check("trim long -17/3 stops", "trim long -17/3 stops", Trim{"long", -17.0 / 3});
  check("trim long 6 stops", "trim long +6 stops", Trim{"long", 6});
  check("trim long -0 stops", "trim long 0 stops", Trim{"long", 0});
  for (const auto* text : {"7", "-6.5", "19/3", "0.25", "1/4", "1.5/3", "--1", "+-1", "1/0", "1/", "/3", "",
                           "one", "1e0", "0.33", "999999999999999999/3"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_command(std::string{"trim long "} + text + " stops", names).has_value());
  }
}

TEST_CASE("every trim that can be given is said so that it reads back the same") {
  for (int sixths = -36; sixths <= 36; ++sixths) {
    if (sixths % 2 != 0 && sixths % 3 != 0) continue;
    const double stops = sixths / 6.0;
    const auto text = to_text(Trim{"long", stops});
    CAPTURE(text);
    CHECK((read(text) == Command{Trim{"long", stops}}));
  }
}

TEST_CASE("what isn't understood is refused with its place, what was found and what is wanted") {
  CHECK(refusal("") ==
        "command:1:1: error: nothing was said\n"
        "  wanted: hold RIG, resume RIG, trim RIG -1 stop, skip STEP, filter RIG on or off, clock ok, or "
        "stop\n");
  CHECK(refusal("Hold long") ==
        "command:1:1: error: \"Hold\" is no command\n"
        "    1 | Hold long\n      | ^\n"
        "  wanted: hold\n");
  CHECK(refusal("hold lnog") ==
        "command:1:6: error: there is no rig \"lnog\"\n"
        "    1 | hold lnog\n      |      ^\n"
        "  wanted: \"long\"\n");
  CHECK(refusal("hold") ==
        "command:1:5: error: no rig is named\n"
        "    1 | hold\n      |     ^\n"
        "  wanted: \"long\", \"wide angle\", \"on\"\n");
  CHECK(refusal("skip totality") ==
        "command:1:6: error: there is no step \"totality\"\n"
        "    1 | skip totality\n      |      ^\n"
        "  wanted: \"beads in\", \"corona\"\n");
  CHECK(refusal("skip totality", {{"long"}, {}}).ends_with("wanted: the plan has none\n"));
  CHECK(refusal("trim long 1") ==
        "command:1:6: error: \"long 1\" doesn't end in a trim\n"
        "    1 | trim long 1\n      |      ^\n"
        "  wanted: trim RIG -1 stop, or +0.5 stops, or +1/3 stop; from -6 to 6 in halves or thirds; the rigs "
        "are \"long\", \"wide angle\", \"on\"\n");
  CHECK(refusal("clock is fine") ==
        "command:1:7: error: \"is fine\" says nothing of the clock\n"
        "    1 | clock is fine\n      |       ^\n"
        "  wanted: clock ok, when you have compared it with a good one\n");
  CHECK(refusal("stop long") ==
        "command:1:6: error: \"long\" after stop, which ends every rig\n"
        "    1 | stop long\n      |      ^\n"
        "  wanted: stop alone; for one rig, hold RIG\n");
}

TEST_CASE("everything that is wrong with a command is said at once") {
  CHECK(refusal("filter lnog of") ==
        "command:1:8: error: there is no rig \"lnog\"\n"
        "    1 | filter lnog of\n      |        ^\n"
        "  wanted: \"long\"\n"
        "command:1:13: error: a filter isn't \"of\"\n"
        "    1 | filter lnog of\n      |             ^\n"
        "  wanted: filter RIG on, or filter RIG off\n");
}

TEST_CASE(
    "words of an older log are understood without knowing its plan, and refused where they say nothing") {
  CHECK((parse_logged_command("trim wide angle -1 stop") == Command{Trim{"wide angle", -1}}));
  CHECK((parse_logged_command("skip any step") == Command{SkipStep{"any step"}}));
  CHECK((parse_logged_command("filter on off") == Command{SetFilter{"on", FilterState::off}}));
  CHECK_FALSE(parse_logged_command("hold").has_value());
  CHECK_FALSE(parse_logged_command("nudge long").has_value());
}

TEST_CASE("a command can put nothing on a terminal but text, and not much of it") {
  CHECK(refusal("hold \x1b[2J") ==
        "command:1:6: error: a control character in a command\n"
        "    1 | hold \uFFFD[2J\n      |      ^\n"
        "  wanted: letters, digits and signs\n");
  const auto long_one = refusal(std::string(4000, 'x'));
  CHECK(long_one.starts_with("command:1:1: error: \"" + std::string(64, 'x') + "…\" is no command\n"));
  CHECK(long_one.size() < 500);
}

TEST_CASE("what a command is said back as is the same command, for every way to put these words together") {
  const auto verbs = {"hold", "resume", "trim", "skip", "filter", "clock", "stop"};
  const auto objects = {"", "long", "wide angle", "on", "beads in", "corona", "ok", "no such"};
  const auto tails = {"", "on", "off", "+1 stop", "-2/3 stop", "0.5 stops", "6 stops", "x"};
  int commands = 0;
  for (const std::string verb : verbs) {
    for (const std::string object : objects) {
      for (const std::string tail : tails) {
        const auto words = verb + "  " + object + "\t" + tail;
        CAPTURE(words);
        const auto command = parse_command(words, names);
        if (!command) {
          REQUIRE(has_errors(command.error()));
          continue;
        }
        ++commands;
        REQUIRE((parse_command(to_text(*command), names).value() == *command));
      }
    }
  }
  // Two verbs with three rigs, one of which is a tail as well; four trims and two filter states of three
  // rigs; two steps, "clock ok" and "stop".
  CHECK(commands == 2 * (3 + 1) + 4 * 3 + 2 * 3 + 2 + 1 + 1);
}
