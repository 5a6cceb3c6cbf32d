// A daemon that went away, however it did, and the one that goes on with nothing but the run's folder.
#include <doctest/doctest.h>

#include <csignal>
#include <filesystem>
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

/// For the day itself, years ahead: a rig that a person works.
const std::string far_plan = R"(noonfall: 1
title: Far ahead
eclipse: 2060-04-30
site: {latitude: 38, longitude: 39, elevation: 900 m}
rigs:
  tripod: {body: by hand, lens: {focal_length: 400 mm}, filter: {density: 5.0}, mount: tracking,
           exposure: {aperture: f/8, iso: 200}}
steps:
  - {name: corona, rig: tripod, subject: corona 0.1 to 2, at: C2 + 10 s, exposure: {shutter: 1/60}}
)";

void let_everybody_write_in(const Field& field) {
  std::filesystem::permissions(field.folder(), std::filesystem::perms::all);
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
    CHECK(field.ended(shotlog::RunEnd::done));
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
  CHECK(field.ended(shotlog::RunEnd::stopped));
  const auto commands = field.all<shotlog::CommandLine>();
  REQUIRE(commands.size() == 1);
  CHECK(commands.front().command == shotlog::Command{shotlog::Stop{}});
  const auto before = field.daemon.log();
  const auto lines_before = field.lines().size();

  field.daemon.start({});
  CHECK(field.exit() == 0);
  CHECK(field.broken({before}).empty());
  CHECK(field.ended(shotlog::RunEnd::done));
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

TEST_CASE("a rehearsal isn't gone on with in a folder that others may write to") {
  Field field;
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("crescent"));
  field.daemon.kill(SIGKILL);
  CHECK(field.exit() == 128 + SIGKILL);
  let_everybody_write_in(field);
  const auto ran = field.run("");
  CHECK(ran.exit == 3);
  CHECK(ran.err == "error: others may write in " + field.folder() +
                       " (its mode is 0777)\n  wanted: chmod 700 " + field.folder() + "\n");
}

TEST_CASE("the event itself is gone on with in such a folder, with an alarm on the screen and in the log") {
  Field field;
  field.daemon.start({field.plan(far_plan)});
  REQUIRE(comes_true([&] { return field.tell("filter tripod on").exit == 0; }));
  field.daemon.kill(SIGKILL);
  CHECK(field.exit() == 128 + SIGKILL);
  let_everybody_write_in(field);
  field.daemon.start({});
  const auto words = "others may write in " + field.folder() + " (its mode is 0777) (wanted: chmod 700 " +
                     field.folder() + ")";
  CHECK(comes_true([&] { return field.noted(words); }));
  CHECK(field.printed().find("ALARM " + words) != std::string::npos);
  CHECK(field.tell("stop").exit == 0);
  CHECK(field.exit() == 0);
}
