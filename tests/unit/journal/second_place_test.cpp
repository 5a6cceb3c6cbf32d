// What outlives a daemon killed while its disk was full. Nothing outside says what must be kept: the promise
// is docs/run-folder.md's.
#include <sys/stat.h>
#include <unistd.h>

#include <doctest/doctest.h>

#include "daemon/journal/state_root.h"
#include "tests/unit/journal/journal_bench.h"

using namespace noonfall;
using namespace noonfall::journal;
namespace fs = std::filesystem;

namespace {

const auto room_again = 1 << 20;

JournalSettings beside(std::vector<std::string> folders) {
  return {250ms, 0, std::size_t{1} << 20U, std::move(folders)};
}

/// The journal as it stands right now, as a kill of its process leaves it: the run's files copied.
std::string as_killed(const Bench& bench, const tests::ScratchFolder& scratch) {
  const auto copy = scratch.path("killed");
  fs::remove_all(copy);
  fs::create_directory(copy);
  fs::copy_file(bench.file(shot_log_name), copy + "/" + shot_log_name);
  return copy;
}

struct Reopened {
  std::string log;  // on the disk then
  std::size_t lines = 0;
  std::string note;
};

Reopened reopen(const std::string& path, const JournalSettings& settings) {
  const auto folder = RunFolder::open(path);
  REQUIRE(folder.has_value());
  const auto opened = ShotJournal::open(*folder, settings);
  REQUIRE(opened.has_value());
  CHECK(opened->damage.empty());
  return {tests::text_of_file(path + "/" + shot_log_name), opened->lines.size(), opened->note};
}

std::string only_file_in(const std::string& folder) {
  std::string found;
  for (const auto& entry : fs::directory_iterator{folder}) {
    REQUIRE(found.empty());
    found = entry.path().string();
  }
  return found;
}

bool is_empty(const std::string& folder) {
  return !fs::exists(folder) || fs::is_empty(folder);
}

}  // namespace

TEST_CASE("lines a full disk doesn't take are with the system elsewhere, and a later journal has them") {
  const tests::ScratchFolder scratch;
  const auto place = scratch.path("memory");
  // the disk stops at any byte of a line
  for (std::size_t more = 0; more <= bytes_of(3, 3).size(); more += 17) {
    CAPTURE(more);
    Bench bench{beside({place})};
    REQUIRE(bench.open() == "");
    bench.append(1, 2);
    bench.fill_disk(more);
    bench.append(3, 10);
    const auto kept = only_file_in(place);
    CHECK(bench.told() ==
          "ALARM the shot log can't be written: No space left on device; the shooting goes on and its lines "
          "wait in " +
              kept + "\n");
    const bool third_is_whole = more == bytes_of(3, 3).size();
    CHECK(tests::text_of_file(kept) == bytes_of(1, 1) + bytes_of(third_is_whole ? 4 : 3, 10));
    CHECK(bench.journal().is_kept());
    bench.append(11, 11);

    const auto later = reopen(as_killed(bench, scratch), beside({place}));
    CHECK(later.log == bytes_of(1, 11));
    CHECK(later.lines == 11);
    const bool torn = more > 0 && !third_is_whole;
    CHECK(later.note.find("a crash tore the end of the shot log") == (torn ? 0 : std::string::npos));
    CHECK(later.note.ends_with(std::to_string(third_is_whole ? 8 : 9) +
                               " lines for which the disk had no room come from the second place"));
    CHECK(is_empty(place));
    bench.failing.room = room_again;
  }
}

TEST_CASE("the second place is for the owner alone, and gone once the disk has everything") {
  const tests::ScratchFolder scratch;
  const auto place = scratch.path("memory");
  Bench bench{beside({place})};
  REQUIRE(bench.open() == "");
  bench.append(1, 2);
  bench.fill_disk();
  bench.append(3, 4);
  struct stat status {};
  REQUIRE(::stat(place.c_str(), &status) == 0);
  CHECK((status.st_mode & 07777U) == 0700U);
  REQUIRE(::stat(only_file_in(place).c_str(), &status) == 0);
  CHECK((status.st_mode & 07777U) == 0600U);
  (void)bench.told();
  bench.failing.room = room_again;
  CHECK(bench.told() == "CLEAR the shot log is written again, nothing is lost\n");
  CHECK(bench.journal().is_kept());
  CHECK(is_empty(place));
  CHECK(bench.log() == bytes_of(1, 4));
}

TEST_CASE("with both places full lines wait in memory, are not called kept, and the next place is tried") {
  const tests::ScratchFolder scratch;
  const auto place = scratch.path("memory");
  Bench bench{beside({place})};
  REQUIRE(bench.open() == "");
  bench.append(1, 2);
  bench.failing.write = ENOSPC;
  bench.append(3, 4);
  CHECK(bench.told() ==
        "ALARM the shot log can't be written: No space left on device; the shooting goes on and its lines "
        "wait in memory\n");
  CHECK_FALSE(bench.journal().is_kept());
  CHECK(is_empty(place));

  bench.failing.write = 0;  // room comes back in the second place first
  bench.fill_disk();
  CHECK(bench.told() == "");
  CHECK(bench.journal().is_kept());
  CHECK(tests::text_of_file(only_file_in(place)) == bytes_of(1, 1) + bytes_of(3, 4));
  bench.failing.write = ENOSPC;
  bench.append(5, 5);
  CHECK_FALSE(bench.journal().is_kept());
  CHECK(bench.told() ==
        "ALARM the second place of the shot log takes nothing either: its lines wait in memory\n");

  bench.failing.write = 0;
  bench.failing.room = room_again;
  CHECK(bench.told() == "CLEAR the shot log is written again, nothing is lost\n");
  CHECK(bench.log() == bytes_of(1, 5));
  CHECK(is_empty(place));
}

TEST_CASE("lines lost for want of memory are never called kept") {
  const tests::ScratchFolder scratch;
  const auto one = bytes_of(10, 10).size();
  Bench bench{{250ms, 0, 2 * one, {scratch.path("memory")}}};
  REQUIRE(bench.open() == "");
  bench.append(2, 2);
  bench.append(3, 3);
  bench.fill_disk();
  bench.append(10, 11);
  CHECK(bench.journal().is_kept());
  bench.append(12, 12);
  CHECK_FALSE(bench.journal().is_kept());
  bench.failing.room = room_again;
}

TEST_CASE("a log whose first line isn't on the disk is kept nowhere else: nobody could tell whose it is") {
  const tests::ScratchFolder scratch;
  const auto place = scratch.path("memory");
  Bench bench{beside({place})};
  REQUIRE(bench.open() == "");
  bench.fill_disk(10);
  bench.append(1, 3);
  CHECK_FALSE(bench.journal().is_kept());
  CHECK(is_empty(place));
  bench.failing.room = room_again;
}

TEST_CASE("another run's lines are left alone, and damaged or earlier ones aren't taken over") {
  const tests::ScratchFolder scratch;
  const auto place = scratch.path("memory");
  Bench bench{beside({place})};
  REQUIRE(bench.open() == "");
  bench.append(1, 2);
  bench.fill_disk();
  bench.append(3, 6);
  const auto kept = only_file_in(place);
  const auto run = as_killed(bench, scratch);
  bench.failing.room = room_again;

  SUBCASE("of another log") {
    auto other = line_number(1);
    other.utc += 1s;
    std::ofstream{kept} << shotlog::encode(other) << bytes_of(3, 6);
    CHECK(reopen(run, beside({place})).log == bytes_of(1, 2));
  }
  SUBCASE("a line damaged, the end torn, some there already") {
    auto bytes = bytes_of(1, 5) + bytes_of(6, 6).substr(0, 20);
    bytes[bytes_of(1, 3).size() + 40] ^= 1;
    std::ofstream{kept} << bytes;
    const auto folder = RunFolder::open(run);
    REQUIRE(folder.has_value());
    const auto opened = ShotJournal::open(*folder, beside({place}));
    REQUIRE(opened.has_value());
    CHECK(opened->lines.size() == 4);
    CHECK(tests::text_of_file(run + "/" + shot_log_name) == bytes_of(1, 3) + bytes_of(5, 5));
  }
  SUBCASE("a pipe blocks nobody") {
    fs::remove(kept);
    REQUIRE(::mkfifo(kept.c_str(), 0600) == 0);
    CHECK(reopen(run, beside({place})).log == bytes_of(1, 2));
  }
}

TEST_CASE("a place that isn't ours alone is passed over, and the next is taken") {
  const tests::ScratchFolder scratch;
  const auto bad = scratch.path("bad");
  const auto good = scratch.path("good");
  const auto elsewhere = scratch.path("elsewhere");
  fs::create_directory(elsewhere);
  SUBCASE("a symlink") {
    fs::create_directory_symlink(elsewhere, bad);
  }
  SUBCASE("a folder that others may write to") {
    fs::create_directory(bad);
    fs::permissions(bad, fs::perms::all);
  }
  SUBCASE("another user's") {
    fs::create_directory(bad);
    if (::chown(bad.c_str(), 1234, 1234) != 0) {
      MESSAGE("SKIPPED: no right to give a folder away, which takes root");
      return;
    }
  }
  SUBCASE("below a folder that isn't there") {}
  const auto first = fs::exists(bad) ? bad : scratch.path("none/bad");
  Bench bench{beside({first, good})};
  REQUIRE(bench.open() == "");
  bench.append(1, 2);
  bench.fill_disk();
  bench.append(3, 4);
  CHECK(is_empty(first));
  CHECK(is_empty(elsewhere));
  CHECK(bench.journal().is_kept());
  CHECK(reopen(as_killed(bench, scratch), beside({first, good})).log == bytes_of(1, 4));
  bench.failing.room = room_again;
}

TEST_CASE("a symlink where the file should be is replaced, not followed") {
  const tests::ScratchFolder scratch;
  const auto place = scratch.path("memory");
  const auto theirs = scratch.file("theirs", "a letter");
  Bench bench{beside({place})};
  REQUIRE(bench.open() == "");
  bench.append(1, 2);
  bench.fill_disk();
  bench.append(3, 3);
  const auto kept = only_file_in(place);
  bench.failing.room = room_again;
  (void)bench.told();
  fs::create_symlink(theirs, kept);
  fs::create_symlink(theirs, kept + ".part");
  bench.fill_disk();
  bench.append(4, 4);
  CHECK(bench.journal().is_kept());
  CHECK_FALSE(fs::is_symlink(kept));
  CHECK(tests::text_of_file(theirs) == "a letter");
  bench.failing.room = room_again;
}

TEST_CASE("the second places lie in memory: the user's runtime folder, and one by the user's number") {
  const auto shared = "/dev/shm/noonfall-" + std::to_string(::geteuid());
  CHECK(second_places({"", "", "", "/run/user/1000"}) ==
        std::vector<std::string>{"/run/user/1000/noonfall", shared});
  CHECK(second_places({"", "", "", ""}) == std::vector<std::string>{shared});
  CHECK(second_places({"", "", "", "run"}) == std::vector<std::string>{shared});
}
