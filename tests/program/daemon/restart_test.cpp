// A daemon that went away, however it did, and the one that goes on with nothing but the run's folder.
#include <doctest/doctest.h>

#include <csignal>
#include <set>

#include "tests/program/daemon/field.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

std::set<pid_t> workers_of(const Field& field) {
  const auto pids = field.daemon.workers();
  return {pids.begin(), pids.end()};
}

bool found_again(const Field& field) {
  return comes_true([&] {
    return field.count<shotlog::Note>([](const auto& note) {
      return note.words.find("is on the line again") != std::string::npos;
    }) == 2;
  });
}

}  // namespace

TEST_CASE("after a kill the workers are found again, and the run goes on with nothing but its folder") {
  for (const int signal : {SIGKILL, SIGTERM}) {
    CAPTURE(signal);
    Field field;
    field.begin(field_plan);
    REQUIRE(field.comes_to_fire("corona", 3));
    const auto workers = workers_of(field);
    CHECK(workers.size() == 2);
    field.daemon.kill(signal);
    CHECK(field.exit() == (signal == SIGKILL ? 128 + SIGKILL : 0));
    const auto before = field.daemon.log();
    CHECK(workers_of(field) == workers);

    field.daemon.start({});
    CHECK(found_again(field));
    CHECK(workers_of(field) == workers);
    CHECK(field.exit() == 0);
    CHECK(field.printed().find("Going on with the run in: " + field.folder() + "\n") != std::string::npos);
    CHECK(field.broken({before}).empty());
    CHECK(field.fired("corona") > 3);
    CHECK(field.noted("the plan is done"));
    CHECK(field.daemon.workers().empty());
  }
}

TEST_CASE("on SIGTERM the log says why the daemon went") {
  Field field;
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("land"));
  field.daemon.kill(SIGTERM);
  CHECK(field.exit() == 0);
  CHECK(field.noted("told to end (SIGTERM): workers go on with what they hold for a minute"));
}

TEST_CASE("on Ctrl-C the workers end too, and a later start goes on with the frames still to come") {
  Field field;
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("land", 2));
  field.daemon.kill(SIGINT);
  CHECK(field.exit() == 0);
  CHECK(field.daemon.workers().empty());
  CHECK(field.noted("stopped by the operator"));
  const auto commands = field.all<shotlog::CommandLine>();
  REQUIRE(commands.size() == 1);
  CHECK(commands.front().words == "stop");
  const auto before = field.daemon.log();
  const auto lines_before = field.lines().size();

  field.daemon.start({});
  CHECK(field.exit() == 0);
  CHECK(field.broken({before}).empty());
  CHECK(field.noted("the plan is done"));
  const auto lines = field.lines();
  REQUIRE(lines.size() > lines_before);
  const auto began = lines[lines_before].utc;
  int intents = 0;
  for (auto line = lines.begin() + static_cast<std::ptrdiff_t>(lines_before); line != lines.end(); ++line) {
    const auto* intent = std::get_if<shotlog::Intent>(&line->entry);
    if (intent == nullptr) continue;
    ++intents;
    CHECK(intent->latest >= began);
  }
  CHECK(intents > 10);
}

TEST_CASE("a terminal that goes away ends nothing") {
  Field field;
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("land"));
  field.daemon.kill(SIGHUP);
  CHECK(comes_true([&] { return field.noted("the terminal went away; the run goes on"); }));
  CHECK(field.comes_to_fire("corona"));
}

TEST_CASE("what the operator asked for holds after a restart") {
  Field field;
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("land"));
  REQUIRE(field.tell("hold long").exit == 0);
  REQUIRE(field.tell("trim wide -1 stop").exit == 0);
  field.daemon.kill(SIGKILL);
  (void)field.exit();

  field.daemon.start({});
  CHECK(field.exit() == 0);
  CHECK(field.fired("corona") == 0);
  std::vector<std::string> shutters;
  for (const auto& intent : field.all<shotlog::Intent>()) {
    if (intent.frame.rig == "wide") shutters.push_back(exposure::to_text(intent.exposure.shutter));
  }
  REQUIRE(shutters.size() > 10);
  CHECK(shutters.front() == "1/125");
  CHECK(shutters.back() == "1/250");
}
