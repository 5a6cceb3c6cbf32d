#include <fcntl.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <cstdio>
#include <filesystem>
#include <set>

#include <doctest/doctest.h>

#include "daemon/journal/run_folder.h"
#include "daemon/journal/state_root.h"
#include "daemon/posix/unix_socket.h"
#include "tests/program/run_program.h"
#include "tests/unit/journal/failing_calls.h"

using namespace noonfall;
using namespace noonfall::journal;

namespace {

std::string refusal(const std::string& path, posix::FileCalls calls = posix::system_file_calls()) {
  const auto folder = RunFolder::open(path, std::move(calls));
  return folder ? "" : to_text(folder.error());
}

unsigned mode_of(const std::string& path) {
  struct stat status {};
  REQUIRE(::stat(path.c_str(), &status) == 0);
  return status.st_mode & 0777U;
}

}  // namespace

TEST_CASE("a folder and its parents are made for the owner alone") {
  const tests::ScratchFolder scratch;
  const auto path = scratch.path("a/b/run");
  REQUIRE(refusal(path) == "");
  CHECK(mode_of(path) == 0700U);
  CHECK(mode_of(scratch.path("a")) == 0700U);
  CHECK(mode_of(path + "/lock") == 0600U);
  CHECK(refusal(path) == "");
}

TEST_CASE(
    "what is made is known to the disk: a new folder in the one above, and a file in its own (fsync(2))") {
  const tests::ScratchFolder scratch;
  std::set<std::string> synced;
  auto calls = posix::system_file_calls();
  calls.sync = [&, real = calls.sync](int file) {
    synced.insert(std::filesystem::read_symlink("/proc/self/fd/" + std::to_string(file)).string());
    return real(file);
  };
  const auto folder = RunFolder::open(scratch.path("a/run"), calls);
  REQUIRE(folder);
  CHECK(synced ==
        std::set<std::string>{std::filesystem::path{scratch.path("a")}.parent_path(), scratch.path("a")});
  synced.clear();
  REQUIRE(folder->write_atomically("bodies/0.yaml", "name: one\n"));
  CHECK(folder->read("bodies/0.yaml") == "name: one\n");
  const auto run = scratch.path("a/run");
  CHECK(synced == std::set<std::string>{run, run + "/bodies/0.yaml.part", run + "/bodies"});
}

TEST_CASE("a folder is one daemon's at a time, and the refusal names its process") {
  const tests::ScratchFolder scratch;
  const auto path = scratch.path("run");
  CHECK_FALSE(is_held(path));
  {
    const auto folder = RunFolder::open(path);
    REQUIRE(folder.has_value());
    CHECK(is_held(path));
    CHECK(refusal(path) ==
          "error: another noonfalld (process " + std::to_string(::getpid()) + ") runs in " + path +
              "\n  wanted: one at a time: end that one first, or name another folder with --state DIR\n");
  }
  CHECK_FALSE(is_held(path));
  CHECK(refusal(path) == "");
}

TEST_CASE("a file where the folder should be is refused") {
  const tests::ScratchFolder scratch;
  const auto path = scratch.file("notes.txt", "mine");
  CHECK(refusal(path) ==
        "error: " + path + " isn't a folder\n  wanted: another folder; --state DIR names one\n");
  CHECK(refusal(path + "/run") == "error: can't make the folder " + path +
                                      "/run: Not a directory\n"
                                      "  wanted: another folder; --state DIR names one\n");
}

TEST_CASE("a folder with something in it and no run is refused, and nothing is put there") {
  const tests::ScratchFolder scratch;
  (void)scratch.file("notes.txt", "mine");
  (void)scratch.file("zebra.txt", "mine");
  const auto path = scratch.path("");
  CHECK(refusal(path) == "error: " + path + " isn't the folder of a run: notes.txt lies in it\n" +
                             "  wanted: an empty or a new folder; --state DIR names one\n");
  CHECK_FALSE(std::filesystem::exists(scratch.path("lock")));
}

TEST_CASE("a full disk and one that can't be written are told apart from each other") {
  const tests::ScratchFolder scratch;
  Failing full;
  full.room = 0;
  CHECK(refusal(scratch.path("full"), calls_with(full)) ==
        "error: can't write in " + scratch.path("full") +
            ": No space left on device\n"
            "  wanted: free some space, or name a folder on another disk with --state DIR\n");
  Failing read_only;
  read_only.open = EROFS;
  CHECK(refusal(scratch.path("ro"), calls_with(read_only)) ==
        "error: can't write in " + scratch.path("ro") +
            ": Read-only file system\n"
            "  wanted: a folder on a disk that can be written to; --state DIR names one\n");
}

TEST_CASE("another user's folder is refused") {
  if (::geteuid() != 0) {
    MESSAGE("SKIPPED: no right to give a folder away, which takes root");
    return;
  }
  const tests::ScratchFolder scratch;
  const auto path = scratch.path("theirs");
  std::filesystem::create_directory(path);
  REQUIRE(::chown(path.c_str(), 1234, 1234) == 0);
  CHECK(refusal(path) == "error: " + path +
                             " belongs to another user (number 1234)\n"
                             "  wanted: another folder; --state DIR names one\n");
}

TEST_CASE("a folder that others may write to is refused with the remedy, one they may only read is not") {
  const tests::ScratchFolder scratch;
  const auto path = scratch.path("run");
  std::filesystem::create_directory(path);
  for (const unsigned mode : {0777U, 0770U, 0702U, 01777U}) {
    REQUIRE(::chmod(path.c_str(), mode) == 0);
    char octal[8];
    std::snprintf(octal, sizeof octal, "%04o", mode);
    CHECK(refusal(path) == "error: others may write in " + path + " (its mode is " + octal +
                               ")\n  wanted: chmod 700 " + path + "\n");
    CHECK_FALSE(std::filesystem::exists(path + "/lock"));
  }
  for (const unsigned mode : {0755U, 0700U}) {
    REQUIRE(::chmod(path.c_str(), mode) == 0);
    CHECK(refusal(path) == "");
  }
}

TEST_CASE("a folder that others may replace is refused, unless only its owner may move it") {
  const tests::ScratchFolder scratch;
  const auto above = scratch.path("above");
  std::filesystem::create_directory(above);
  REQUIRE(::chmod(above.c_str(), 0777) == 0);
  CHECK(refusal(above + "/run") == "error: others may replace " + above +
                                       "/run (the folder above has the mode 0777)\n" +
                                       "  wanted: chmod o-w " + above + "/run/..\n");
  REQUIRE(::chmod(above.c_str(), 01777) == 0);  // as /tmp is
  CHECK(refusal(above + "/run") == "");
}

TEST_CASE("where a run of ours was begun, what it is exposed to is told and nothing refused") {
  const tests::ScratchFolder scratch;
  const auto path = scratch.path("run");
  {
    const auto begun = RunFolder::open(path);
    REQUIRE(begun.has_value());
    REQUIRE(begun->write_atomically(run_settings_name, "{}").has_value());
    CHECK(begun->exposed().empty());
  }
  REQUIRE(::chmod(path.c_str(), 0777) == 0);
  const auto again = RunFolder::open(path);
  REQUIRE(again.has_value());
  CHECK(to_text(again->exposed()) ==
        "error: others may write in " + path + " (its mode is 0777)\n  wanted: chmod 700 " + path + "\n");
}

TEST_CASE("a file is replaced as a whole or not at all") {
  const tests::ScratchFolder scratch;
  Failing failing;
  const auto folder = RunFolder::open(scratch.path("run"), calls_with(failing));
  REQUIRE(folder.has_value());
  REQUIRE(folder->write_atomically(run_settings_name, "old").has_value());
  CHECK(folder->read(run_settings_name).value() == "old");
  const auto fails = [&](std::atomic<int>& call, int error) {
    call = error;
    const auto written = folder->write_atomically(run_settings_name, "new");
    call = 0;
    CHECK_FALSE(written.has_value());
    CHECK(folder->read(run_settings_name).value() == "old");
    CHECK_FALSE(std::filesystem::exists(folder->path() + "/run.json.part"));
    return to_text(written.error());
  };
  CHECK(fails(failing.write, ENOSPC) ==
        "error: can't write " + folder->path() +
            "/run.json: No space left on device\n"
            "  wanted: free some space, or name a folder on another disk with --state DIR\n");
  CHECK(fails(failing.rename, EIO).find("Input/output error") != std::string::npos);
  REQUIRE(folder->write_atomically(run_settings_name, "new").has_value());
  CHECK(folder->read(run_settings_name).value() == "new");
}

TEST_CASE("a file that isn't there reads as nothing, one too large is refused") {
  const tests::ScratchFolder scratch;
  const auto folder = RunFolder::open(scratch.path("run"));
  REQUIRE(folder.has_value());
  const auto missing = folder->read("plan.yaml");
  REQUIRE(missing.has_value());
  CHECK_FALSE(missing->has_value());
  REQUIRE(folder->write_atomically("plan.yaml", std::string(100, 'x')).has_value());
  CHECK(folder->read("plan.yaml", 100).has_value());
  CHECK(to_text(folder->read("plan.yaml", 99).error()) ==
        "error: " + folder->path() +
            "/plan.yaml is larger than 99 bytes\n  wanted: another folder; --state DIR names one\n");
}

TEST_CASE("what is no file is refused where one should be, and nobody waits for it") {
  const tests::ScratchFolder scratch;
  const auto folder = RunFolder::open(scratch.path("run"));
  REQUIRE(folder.has_value());
  const auto refused = [&](const std::string& name, const std::string& kind) {
    CHECK(to_text(folder->read(name).error()) ==
          "error: " + folder->path() + "/" + name + " is " + kind +
              ", not a file\n  wanted: it moved away, or another folder; --state DIR names one\n");
  };
  REQUIRE(::mkfifo((folder->path() + "/run.json").c_str(), 0600) == 0);
  refused("run.json", "a pipe");
  std::filesystem::create_directory(folder->path() + "/plan.yaml");
  refused("plan.yaml", "a folder");
  const posix::FileDescriptor socket{::socket(AF_UNIX, SOCK_STREAM, 0)};
  const auto address = posix::socket_address(folder->directory(), "shots.jsonl");
  REQUIRE(::bind(socket.get(), reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0);
  refused("shots.jsonl", "a socket");
  std::filesystem::create_symlink("/dev/zero", folder->path() + "/faults.yaml");
  refused("faults.yaml", "a device");
  REQUIRE(::mkfifo((folder->path() + "/run.json.part").c_str(), 0600) == 0);
  REQUIRE(folder->write_atomically("run.json", "{}").has_value());
  CHECK(folder->read("run.json").value() == "{}");
}

TEST_CASE("a pipe as the lock is refused, and holds up nobody who looks for runs") {
  const tests::ScratchFolder scratch;
  REQUIRE(::mkfifo(scratch.path("lock").c_str(), 0600) == 0);
  CHECK_FALSE(is_held(scratch.path("")));
  CHECK(refusal(scratch.path("")) ==
        "error: " + scratch.path("") + "/lock is a pipe, not a file\n" +
            "  wanted: it moved away, or another folder; --state DIR names one\n");
}

TEST_CASE("run folders lie where systemd or the XDG specification puts state") {
  // systemd.exec(5), STATE_DIRECTORY; XDG Base Directory Specification 0.8.
  CHECK(state_root({"/var/lib/noonfall", "/x", "/home/me"}).value() == "/var/lib/noonfall");
  CHECK(state_root({"/var/lib/a:/var/lib/b", "", ""}).value() == "/var/lib/a");
  CHECK(state_root({"", "/x/state", "/home/me"}).value() == "/x/state/noonfall");
  CHECK(state_root({"", "", "/home/me"}).value() == "/home/me/.local/state/noonfall");
  CHECK(state_root({"", "relative", "/home/me"}).value() == "/home/me/.local/state/noonfall");
  CHECK(to_text(state_root({"", "", ""}).error()) ==
        "error: there is no folder for the run: HOME isn't set\n  wanted: --state DIR\n");
}

TEST_CASE("a run's folder is named after its plan and mode") {
  CHECK(run_folder_name("plans/two-rigs-2027.yaml", shotlog::Mode::event) == "two-rigs-2027-event");
  CHECK(run_folder_name("plan", shotlog::Mode::dress) == "plan-dress");
  CHECK(run_folder_name("..", shotlog::Mode::simulated) == "plan-simulated");
  CHECK(run_folder_name("", shotlog::Mode::simulated) == "plan-simulated");
}

TEST_CASE("live runs are those whose folder is held") {
  const tests::ScratchFolder scratch;
  REQUIRE(refusal(scratch.path("old-event")) == "");
  const auto one = RunFolder::open(scratch.path("one-event"));
  const auto two = RunFolder::open(scratch.path("two-dress"));
  REQUIRE((one.has_value() && two.has_value()));
  for (const auto* run : {"old-event", "one-event", "two-dress"})
    REQUIRE(::open(scratch.path(run + std::string{"/control.sock"}).c_str(), O_CREAT | O_CLOEXEC, 0600) >= 0);
  auto live = live_runs();
  std::erase_if(live, [&](const auto& run) { return !run.starts_with(scratch.path("")); });
  CHECK(live == std::vector<std::string>{scratch.path("one-event"), scratch.path("two-dress")});
}
