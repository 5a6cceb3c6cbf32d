// The journal in a process that is killed, and on disks that are really full.
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <random>

#include <doctest/doctest.h>

#include "tests/unit/journal/journal_bench.h"

using namespace noonfall;
using namespace noonfall::journal;

namespace {

/// Appends for ever, telling the number of each line to `acknowledged` once append() has returned.
[[noreturn]] void append_until_killed(const std::string& path, int acknowledged) {
  const auto folder = RunFolder::open(path);
  auto opened = folder ? ShotJournal::open(*folder, {}) : fail(Diagnostics{});
  if (!opened) ::_exit(1);
  for (std::int64_t seq = opened->lines.empty() ? 1 : opened->lines.back().seq + 1;; ++seq) {
    opened->journal->append(line_number(seq));
    if (::write(acknowledged, &seq, sizeof seq) != sizeof seq) ::_exit(1);
  }
}

/// A process of its own for a journal, killed in mid-work; the last line it acknowledged.
std::int64_t last_before_kill(const std::string& path, int lines_before) {
  int ends[2];
  REQUIRE(::pipe(ends) == 0);
  const auto child = ::fork();
  REQUIRE(child >= 0);
  if (child == 0) append_until_killed(path, ends[1]);
  ::close(ends[1]);
  std::int64_t seq = 0;
  std::int64_t last = 0;
  int count = 0;
  while (::read(ends[0], &seq, sizeof seq) == sizeof seq) {
    last = seq;
    if (++count == lines_before) ::kill(child, SIGKILL);
  }
  ::close(ends[0]);
  int status = 0;
  REQUIRE(::waitpid(child, &status, 0) == child);
  CHECK(WIFSIGNALED(status));
  return last;
}

}  // namespace

TEST_CASE("a process killed while it appends loses no line it had acknowledged") {
  Bench bench;
  std::mt19937 luck{20270802};
  std::int64_t total = 0;
  for (int kill = 0; kill < 20; ++kill) {
    const auto last = last_before_kill(bench.path(), std::uniform_int_distribution<>{1, 400}(luck));
    REQUIRE(last > total);
    REQUIRE(bench.open() == "");
    REQUIRE(bench.damage.empty());
    total = bench.lines.back().seq;  // of so many notes, not all are kept
    REQUIRE(total >= last);
    REQUIRE(bench.log() == bytes_of(1, total));
    bench.close();
  }
}

TEST_CASE("a limit on the size of files stops nothing but the writing") {
  Bench bench{{250ms, 0, 1 << 20}};
  REQUIRE(bench.open() == "");
  struct rlimit old {};
  REQUIRE(::getrlimit(RLIMIT_FSIZE, &old) == 0);
  const auto previous = std::signal(SIGXFSZ, SIG_IGN);
  const auto whole = bytes_of(1, 6);
  struct rlimit small {
    whole.size() - 100, old.rlim_max
  };
  REQUIRE(::setrlimit(RLIMIT_FSIZE, &small) == 0);
  bench.append(1, 6);
  const auto told = bench.told();
  const auto size = bench.log().size();
  REQUIRE(::setrlimit(RLIMIT_FSIZE, &old) == 0);
  CHECK(told ==
        "ALARM the shot log can't be written: File too large; the shooting goes on and its lines wait in "
        "memory\n");
  CHECK(size == whole.size() - 100);
  CHECK(bench.told() == "CLEAR the shot log is written again, nothing is lost\n");
  CHECK(bench.log() == whole);
  std::signal(SIGXFSZ, previous);
}

TEST_CASE("a really full file system is an alarm, and the log is whole once there is room") {
  const tests::ScratchFolder scratch;
  const auto mount_point = scratch.path("disk");
  std::filesystem::create_directory(mount_point);
  if (::mount("none", mount_point.c_str(), "tmpfs", 0, "size=128k") != 0) {
    MESSAGE("SKIPPED: no small file system can be mounted here");
    return;
  }
  std::vector<std::string> told;
  {
    const auto folder = RunFolder::open(mount_point + "/run");
    REQUIRE(folder.has_value());
    auto opened = ShotJournal::open(*folder, {});
    REQUIRE(opened.has_value());
    auto& journal = *opened->journal;
    const auto poll = [&] {
      for (auto& news : journal.poll()) told.push_back(std::move(news.words));
    };
    poll();
    CHECK(told ==
          std::vector<std::string>{"no room could be reserved for the shot log: No space left on device"});
    std::ofstream filler{mount_point + "/filler"};
    for (int block = 0; block < 40; ++block) filler << std::string(4096, 'x') << std::flush;
    filler.close();
    for (std::int64_t seq = 1; seq <= 300; ++seq) journal.append(line_number(seq));
    poll();
    REQUIRE(told.size() == 2);
    CHECK(
        told.back() ==
        "the shot log can't be written: No space left on device; the shooting goes on and its lines wait in "
        "memory");
    CHECK(journal.waiting_bytes() > 0);
    std::filesystem::remove(mount_point + "/filler");
    poll();
    CHECK(journal.waiting_bytes() == 0);
    CHECK(told.back() == "the shot log is written again, nothing is lost");
    CHECK(tests::text_of_file(mount_point + "/run/shots.jsonl") == bytes_of(1, 300));
  }
  CHECK(::umount(mount_point.c_str()) == 0);
}
