// A disk that takes nothing more, met by kills. The bodies' own memory is the judge.
#include <csignal>
#include <filesystem>
#include <set>

#include <doctest/doctest.h>

#include <sys/resource.h>
#include <sys/stat.h>

#include "daemon/worker/body_record.h"
#include "tests/program/daemon/field.h"

using namespace noonfall;
using namespace noonfall::tests;
namespace fs = std::filesystem;

namespace {

/// No file that this process writes to gets larger, as on a disk without room: its workers write on.
void fill_disk_of(pid_t pid, std::size_t size) {
  const struct rlimit full { size, RLIM_INFINITY };
  REQUIRE(::prlimit(pid, RLIMIT_FSIZE, &full, nullptr) == 0);
}

std::vector<sim::RecordedFrame> taken(const Field& field) {
  return worker::read_record(field.file("rig-0.taken.jsonl"));
}

std::string whole_lines(const std::string& text) {
  return text.substr(0, text.rfind('\n') + 1);
}

}  // namespace

TEST_CASE("killed with its workers while the disk is full, a run takes nothing twice and its step goes on") {
  Field field;
  fs::create_directory(field.scratch.path("runtime"));
  const Variable runtime{"XDG_RUNTIME_DIR", field.scratch.path("runtime")};
  field.speed = "10";
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("corona", 5));
  fill_disk_of(field.daemon.pid(), field.daemon.log().size());
  const auto alarm =
      "ALARM the shot log can't be written: File too large; the shooting goes on and its "
      "lines wait in " +
      field.scratch.path("runtime/noonfall/");
  CHECK(comes_true([&] { return field.printed().find(alarm) != std::string::npos; }));
  const auto stuck_at = whole_lines(field.daemon.log());
  const auto before = taken(field).size();
  CHECK(comes_true([&] { return taken(field).size() > before + 20; }));
  CHECK(whole_lines(field.daemon.log()) == stuck_at);

  field.daemon.kill(SIGKILL);
  for (const auto worker : field.daemon.workers()) ::kill(worker, SIGKILL);
  CHECK(field.exit() == 128 + SIGKILL);
  REQUIRE(comes_true([&] { return field.daemon.workers().empty(); }));
  const auto when_killed = taken(field).size();

  field.daemon.start({});
  CHECK(field.exit() == 0);
  std::set<order::FrameId> different;
  const auto all = taken(field);
  for (const auto& frame : all) different.insert(frame.id);
  CHECK(different.size() == all.size());
  CHECK(all.size() > when_killed + 20);
  CHECK(field.broken({stuck_at}) == "");
  CHECK(field.noted("for which the disk had no room come from the second place"));
  CHECK(fs::is_empty(field.scratch.path("runtime/noonfall")));
}
