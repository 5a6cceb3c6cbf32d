// Folders, files, programs and disks that aren't as they should be.
#include <csignal>
#include <filesystem>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <sys/mount.h>
#include <unistd.h>

#include "daemon/worker/body_record.h"
#include "tests/address_sanitizer.h"
#include "tests/program/daemon/field.h"

using namespace noonfall;
using namespace noonfall::tests;
namespace fs = std::filesystem;

namespace {

std::string simulated(const Field& field) {
  return "'" + field.plan(field_plan) + "' --simulate --move C2=+90s";
}

/// A run that has begun, and its daemon gone.
void begin_and_end(Field& field) {
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("land"));
  field.daemon.kill(SIGTERM);
  REQUIRE(field.exit() == 0);
}

void write(const std::string& path, const std::string& text) {
  std::ofstream{path, std::ios::binary} << text;
}

/// noonfalld in a folder of its own, with `camera` as its worker's program.
std::string with_camera(const ScratchFolder& scratch, const char* camera, fs::perms mode) {
  const auto program = scratch.path("noonfalld");
  fs::copy_file(NOONFALL_DAEMON, program);
  if (camera != nullptr) {
    fs::copy_file(camera, scratch.path("noonfall-camera"));
    fs::permissions(scratch.path("noonfall-camera"), mode);
  }
  return program;
}

/// noonfalld, started by a shell that does `first`.
std::string program_in(const ScratchFolder& scratch, const std::string& first) {
  const auto path =
      scratch.file("noonfalld", fmt::format("#!/bin/sh\n{} exec '{}' \"$@\"\n", first, NOONFALL_DAEMON));
  fs::permissions(path, fs::perms::owner_all);
  return path;
}

/// The whole plan is gone through, and every frame is said to be not taken.
void check_nothing_taken(Field& field, const std::string& why_away) {
  CHECK(field.exit() == 0);
  CHECK(field.ended(shotlog::RunEnd::done));
  CHECK(field.broken().empty());
  for (const auto* rig : {"long", "wide"}) {
    CHECK(field.count<shotlog::BodyNews>([&](const auto& fault) {
      return fault.rig == rig && !fault.ready && fault.why.find(why_away) == 0;
    }) > 0);
  }
  CHECK(field.count<shotlog::FrameOutcome>(
            [](const auto& outcome) { return outcome.result == order::Outcome::fired; }) == 0);
  CHECK(field.count<shotlog::Skip>(
            [](const auto& skip) { return skip.frame.step == "land" && skip.frame.set > 0; }) == 39);
  CHECK(field.count<shotlog::Skip>([](const auto& skip) { return skip.why == "no worker held the rig"; }) >
        20);
}

/// A disk of 300 kB over a folder, where this process may mount one.
class SmallDisk {
 public:
  explicit SmallDisk(std::string path) : path_{std::move(path)} {
    fs::create_directory(path_);
    mounted_ = ::mount("tmpfs", path_.c_str(), "tmpfs", 0, "size=300k,mode=0700") == 0;
  }
  ~SmallDisk() {
    if (mounted_) ::umount2(path_.c_str(), MNT_DETACH);
  }
  SmallDisk(const SmallDisk&) = delete;
  SmallDisk& operator=(const SmallDisk&) = delete;

  [[nodiscard]] bool mounted() const { return mounted_; }
  /// To the last byte.
  void fill() const {
    const auto file = path_ + "/filler";
    for (std::size_t size = 65'536; size > 0; size /= 2) {
      while (add(file, size)) {
      }
    }
  }
  void free() const { fs::remove(path_ + "/filler"); }

 private:
  static bool add(const std::string& file, std::size_t size) {
    std::ofstream out{file, std::ios::binary | std::ios::app};
    out << std::string(size, 'x') << std::flush;
    return out.good();
  }

  std::string path_;
  bool mounted_ = false;
};

std::size_t taken(const std::string& record) {
  return worker::read_record(text_of_file(record)).size();
}

}  // namespace

TEST_CASE("a folder that can't be a run's is refused before anything is done") {
  const Field field;
  const auto refused = [&](const std::string& folder) {
    const auto ran = run_program(NOONFALL_DAEMON, "--state '" + folder + "' " + simulated(field));
    CHECK(ran.exit == 3);
    CHECK(ran.out.empty());
    return ran.err;
  };
  const auto file = field.scratch.file("file", "a letter");
  CHECK(refused(file) ==
        "error: " + file + " isn't a folder\n  wanted: another folder; --state DIR names one\n");
  CHECK(refused(file + "/below") ==
        "error: can't make the folder " + file +
            "/below: Not a directory\n  wanted: another folder; --state DIR names one\n");
  const auto folder = field.scratch.path("");
  CHECK(refused(folder) == "error: " + folder +
                               " isn't the folder of a run: file lies in it\n"
                               "  wanted: an empty or a new folder; --state DIR names one\n");
  CHECK(text_of_file(file) == "a letter");
  CHECK_FALSE(fs::exists(field.scratch.path("lock")));
}

TEST_CASE("a folder that may not be written to is refused with a remedy") {
  const Field field;
  const auto locked = field.scratch.path("locked");
  fs::create_directory(locked);
  fs::permissions(locked, fs::perms::owner_read | fs::perms::owner_exec);
  std::string program = NOONFALL_DAEMON;
  if (::geteuid() == 0) {
    fs::permissions(field.scratch.path(""),
                    fs::perms::owner_all | fs::perms::others_read | fs::perms::others_exec);
    program = field.scratch.file(
        "noonfalld", fmt::format("#!/bin/sh\nexec setpriv --reuid=65534 --regid=65534 --clear-groups '{}' "
                                 "\"$@\"\n",
                                 NOONFALL_DAEMON));
    fs::permissions(program, fs::perms::owner_all);
    fs::permissions(locked, fs::perms::others_read | fs::perms::others_exec, fs::perm_options::add);
    if (run_program(program, "--help").exit != 0) {
      MESSAGE("SKIPPED: no other user can run the program here");
      return;
    }
  }
  const auto refused = run_program(program, "--state '" + locked + "/run' " + simulated(field));
  CHECK(refused.exit == 3);
  CHECK(refused.err ==
        "error: can't make the folder " + locked +
            "/run: Permission denied\n  wanted: a folder you may write to; --state DIR names one\n");
}

TEST_CASE("of two daemons on one folder the second is refused, and the first goes on") {
  Field field;
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("land"));
  const auto second = field.run("");
  CHECK(second.exit == 3);
  CHECK(second.out.empty());
  CHECK(second.err ==
        fmt::format("error: another noonfalld (process {}) runs in {}\n"
                    "  wanted: one at a time: end that one first, or name another folder with --state "
                    "DIR\n",
                    field.daemon.pid(), field.folder()));
  CHECK(field.exit() == 0);
  CHECK(field.broken().empty());
}

TEST_CASE("what isn't a shot log of ours is left as it is, byte for byte") {
  Field field;
  begin_and_end(field);
  const auto log = field.folder() + "/shots.jsonl";
  const auto sound = field.daemon.log();
  const auto refused = [&](const std::string& bytes) {
    write(log, bytes);
    const auto ran = field.run("");
    CHECK(ran.exit == 3);
    CHECK(ran.out.empty());
    CHECK(text_of_file(log) == bytes);
    return ran.err;
  };
  const auto wanted =
      "\n  wanted: a log this noonfall writes; move the file away, or name another folder with --state DIR\n";
  CHECK(refused("Dear diary,\nit was dark.\n") ==
        log + ": error: the file isn't a shot log: no line of it can be read as one" + wanted);
  CHECK(refused(with(sound, "\"noonfall_shot_log\":2", "\"noonfall_shot_log\":7")) ==
        log + ": error: the shot log is of version 7 of its format, not 1 to 2" + wanted);
}

TEST_CASE("a damaged time zone file leaves local time out, with one note, and ends no run and no restart") {
  const std::string zoned = with(field_plan, "elevation: 900 m", "elevation: 900 m, zone: Here/There");
  for (const std::string bytes :
       {"", "TZif", "a letter that is no zone at all, but long enough for a header"}) {
    const ScratchFolder scratch;
    fs::create_directory(scratch.path("Here"));
    write(scratch.path("Here/There"), bytes);
    Field field{program_in(scratch, fmt::format("TZDIR='{}'", scratch.path("")))};
    field.speed = "400";
    field.begin(zoned);
    REQUIRE(field.comes_to_fire("land"));
    field.daemon.kill(SIGKILL);
    REQUIRE(field.exit() == 128 + SIGKILL);
    field.daemon.start({});
    CHECK(field.exit() == 0);
    CHECK(field.ended(shotlog::RunEnd::done));
    const auto printed = field.printed();
    const std::string note = "times are UTC alone, the time zone Here/There can't be read: ";
    CHECK(printed.find(note) != std::string::npos);
    CHECK(printed.find(note, printed.rfind(note) + 1) == std::string::npos);
    CHECK(printed.find(note, printed.find(note) + 1) == printed.rfind(note));  // once a start
  }
}

#ifndef NOONFALL_ADDRESS_SANITIZER
// Not with the sanitizers: UBSan asks through a pipe whether memory can be read before it looks at an
// object's type there, and without a descriptor for it takes a sound object for none (GCC 12:
// IsAccessibleMemoryRange).
TEST_CASE("however few descriptors there are, a run that has begun goes on to its end") {
  int begun = 0;
  for (int most = 14; most < 24; ++most) {
    CAPTURE(most);
    const ScratchFolder scratch;
    Field field{program_in(scratch, fmt::format("ulimit -n {};", most))};
    field.speed = "1000";
    field.begin(field_plan);
    const int exit = field.exit();
    if (field.printed().find("the daemon started") == std::string::npos) continue;  // not even an event loop
    ++begun;
    CHECK(exit == 0);
    CHECK(field.ended(shotlog::RunEnd::done));
    CHECK(field.broken().empty());
  }
  CHECK(begun >= 4);
}
#endif

TEST_CASE("run settings that are damaged or gone are refused at their place, and the log is left alone") {
  Field field;
  begin_and_end(field);
  const auto before = field.daemon.log();
  const auto settings = field.folder() + "/run.json";
  const auto sound = text_of_file(settings);
  const auto refused = [&] {
    const auto ran = field.run("");
    CHECK(ran.exit == 3);
    CHECK(ran.out.empty());
    CHECK(field.daemon.log() == before);
    return ran.err;
  };
  write(settings, "{");
  CHECK(refused() == settings + ":1:2: error: not JSON\n    1 | {\n      |  ^\n  wanted: one JSON object\n");
  write(settings, with(sound, "\"noonfall_run\": 1", "\"noonfall_run\": 2"));
  CHECK(refused() == settings +
                         ": error: \"noonfall_run\" is 2\n"
                         "  wanted: version 1; name another folder with --state DIR\n");
  write(settings, with(with(sound, "\"speed\": 40.0", "\"speed\": \"fast\""), "\"faults\"", "\"flaws\""));
  CHECK(refused() == settings + ": error: \"speed\" is \"fast\"\n  wanted: a number from 0.001 to 10000\n" +
                         settings + ": error: \"faults\" is missing\n  wanted: true or false\n" + settings +
                         ": error: \"flaws\" isn't known\n  wanted: only what this version writes\n");
  fs::remove(settings);
  CHECK(refused() == "error: " + settings +
                         " is missing, and the log beside it can't be gone on with\n"
                         "  wanted: that file put back, or another folder with --state\n");
  write(settings, sound);
  field.daemon.start({});
  CHECK(field.comes_to_fire("corona"));
}

TEST_CASE("a log torn by a power cut is cut back to its last whole line, and the run goes on") {
  Field field;
  begin_and_end(field);
  const auto before = field.daemon.log();
  write(field.folder() + "/shots.jsonl", before + R"({"seq":9999,"utc":"20)");
  field.daemon.start({});
  CHECK(field.exit() == 0);
  CHECK(field.broken({before}).empty());
  CHECK(field.noted("a crash tore the end of the shot log: 21 bytes were cut off"));
}

TEST_CASE(
    "without the worker's program the run goes on: the rigs are away, their frames skipped with the reason") {
  const ScratchFolder scratch;
  Field field{with_camera(scratch, nullptr, {})};
  field.begin(field_plan);
  check_nothing_taken(
      field, "the worker can't start " + scratch.path("noonfall-camera") + ": No such file or directory");
}

TEST_CASE("a worker's program that may not be run, or isn't one, keeps the rigs away and the daemon alive") {
  const ScratchFolder scratch;
  SUBCASE("not executable") {
    Field field{with_camera(scratch, NOONFALL_CAMERA, fs::perms::owner_read)};
    field.begin(field_plan);
    check_nothing_taken(field,
                        "the worker can't start " + scratch.path("noonfall-camera") + ": Permission denied");
  }
  SUBCASE("another program") {
    Field field{with_camera(scratch, "/bin/true", fs::perms::owner_all)};
    field.begin(field_plan);
    check_nothing_taken(field, "the worker ended with exit code 0");
  }
}

TEST_CASE(
    "on a full disk the shooting goes on with an alarm, and the log catches up when there is room again") {
  Field field;
  const SmallDisk disk{field.folder()};
  if (!disk.mounted()) {
    MESSAGE("SKIPPED: no disk can be mounted here");
    return;
  }
  // The bodies' memory lies on another disk; a folder with a lock is one of a run.
  write(field.folder() + "/lock", "");
  const auto record = field.scratch.path("taken");
  write(record, "");
  fs::create_symlink(record, field.folder() + "/rig-0.taken.jsonl");
  fs::create_symlink(field.scratch.path("taken-1"), field.folder() + "/rig-1.taken.jsonl");
  write(field.scratch.path("taken-1"), "");
  field.speed = "20";
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("crescent", 2));
  disk.fill();
  CHECK(comes_true([&] {
    return field.printed().find(
               "ALARM the shot log can't be written: No space left on device; the shooting goes on and its "
               "lines wait in ") != std::string::npos;
  }));
  const auto stuck_at = field.daemon.log();
  const auto taken_then = taken(record);
  CHECK(comes_true([&] { return taken(record) > taken_then + 30; }));
  CHECK(field.daemon.log() == stuck_at);
  disk.free();
  CHECK(comes_true([&] { return field.noted("the shot log is written again, nothing is lost"); }));
  CHECK(field.exit() == 0);
  CHECK(field.broken({stuck_at.substr(0, stuck_at.rfind('\n') + 1)}).empty());
  CHECK(field.fired("corona") > 60);
}
