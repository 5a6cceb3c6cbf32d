// The run's folder deleted or moved away under a daemon at work.
#include <csignal>
#include <filesystem>

#include <doctest/doctest.h>

#include "tests/program/daemon/field.h"

using namespace noonfall;
using namespace noonfall::tests;
namespace fs = std::filesystem;

TEST_CASE("a folder deleted or moved away in mid-run costs nothing: the run goes on, and a restart too") {
  for (const bool moved : {true, false}) {
    CAPTURE(moved);
    Field field;
    field.speed = "10";
    field.begin(field_plan);
    REQUIRE(field.comes_to_fire("corona", 3));
    const auto before = field.daemon.log();
    const auto workers = field.daemon.workers();
    if (moved) {
      fs::rename(field.folder(), field.folder() + "-away");
    } else {
      fs::remove_all(field.folder());
    }
    CHECK(comes_true([&] {
      return field.printed().find("ALARM " + field.folder() +
                                  " or its shots.jsonl was deleted or moved away; it is there anew") !=
             std::string::npos;
    }));
    CHECK(comes_true([&] { return fs::exists(field.folder() + "/control.sock"); }));
    CHECK(field.tell("trim wide -1 stop").exit == 0);
    for (const auto* socket : {"/rig-0.sock", "/rig-1.sock"})
      CHECK(comes_true([&] { return fs::exists(field.folder() + socket); }));

    field.daemon.kill(SIGKILL);
    CHECK(field.exit() == 128 + SIGKILL);
    const auto when_killed = field.daemon.log();
    CHECK(when_killed.starts_with(before));
    field.daemon.start({});
    CHECK(comes_true([&] {
      return field.count<shotlog::Note>([](const auto& note) {
        return note.words.find("is on the line again") != std::string::npos;
      }) == 2;
    }));
    CHECK(field.daemon.workers() == workers);
    CHECK(field.exit() == 0);
    CHECK(field.ended(shotlog::RunEnd::done));
    CHECK(field.fired("corona") > 20);
    // The bodies write on where their memory has been since their workers' start.
    if (!moved) continue;
    for (const auto* record : {"/rig-0.taken.jsonl", "/rig-1.taken.jsonl"})
      fs::copy_file(field.folder() + "-away" + record, field.folder() + record);
    CHECK(field.broken({when_killed}) == "");
  }
}
