#include <sys/stat.h>

#include <doctest/doctest.h>

#include "tests/source_folder.h"
#include "tests/unit/journal/journal_bench.h"

using namespace noonfall;
using namespace noonfall::journal;

TEST_CASE("a new log is a file of the owner's alone and takes lines at once") {
  Bench bench;
  REQUIRE(bench.open() == "");
  CHECK(bench.lines.empty());
  CHECK(bench.note == "");
  bench.append(1, 3);
  CHECK(bench.log() == bytes_of(1, 3));
  struct stat status {};
  REQUIRE(::stat(bench.file(shot_log_name).c_str(), &status) == 0);
  CHECK((status.st_mode & 0777U) == 0600U);
}

TEST_CASE("a line is one write") {
  Bench bench;
  REQUIRE(bench.open() == "");
  bench.append(1, 20);
  CHECK(bench.failing.writes == 20);
}

TEST_CASE("room is reserved on the disk, and the file's size stays its lines'") {
  Bench bench{{250ms, std::size_t{1} << 20U, std::size_t{4} << 20U}};
  REQUIRE(bench.open() == "");
  bench.append(1, 2);
  struct stat status {};
  REQUIRE(::stat(bench.file(shot_log_name).c_str(), &status) == 0);
  CHECK(static_cast<std::size_t>(status.st_size) == bytes_of(1, 2).size());
  if (bench.told().empty()) CHECK(status.st_blocks * 512 >= 1 << 20);
}

TEST_CASE("a disk that can't reserve room is worth a note and no more") {
  Bench bench;
  bench.failing.reserve = EOPNOTSUPP;
  REQUIRE(bench.open() == "");
  CHECK(bench.told() == "note no room could be reserved for the shot log: Operation not supported\n");
}

TEST_CASE("a log cut at any byte is gone on with after its last whole line") {
  const auto whole = bytes_of(1, 5);
  const auto header = bytes_of(1, 1).size();
  for (std::size_t cut = 0; cut <= whole.size(); ++cut) {
    if (cut > 40 && cut + 40 < header) continue;  // the header's inside is all alike
    CAPTURE(cut);
    Bench bench;
    bench.put(lock_name, "");
    bench.put(shot_log_name, whole.substr(0, cut));
    REQUIRE(bench.open() == "");
    const auto kept = static_cast<std::int64_t>(bench.lines.size());
    const auto sound = kept == 0 ? std::string{} : bytes_of(1, kept);
    REQUIRE(whole.starts_with(sound));
    REQUIRE(sound.size() <= cut);
    REQUIRE(bench.note == (sound.size() == cut
                               ? ""
                               : "a crash tore the end of the shot log: " +
                                     std::to_string(cut - sound.size()) + " bytes were cut off"));
    bench.append(kept + 1, 5);
    REQUIRE(bench.log() == whole);
  }
}

TEST_CASE("after a power cut the end may be zeros, which are cut off") {
  Bench bench;
  bench.put(lock_name, "");
  bench.put(shot_log_name, bytes_of(1, 2) + std::string(300, '\0'));
  REQUIRE(bench.open() == "");
  CHECK(bench.lines.size() == 2);
  CHECK(bench.note == "a crash tore the end of the shot log: 300 bytes were cut off");
  CHECK(bench.log() == bytes_of(1, 2));
  Bench all_zeros;
  all_zeros.put(lock_name, "");
  all_zeros.put(shot_log_name, std::string(300, '\0'));
  CHECK(all_zeros.open() == "");
  CHECK(all_zeros.log() == "");
}

TEST_CASE("damage before the end stays in the file and is reported, damage at the end is cut off") {
  const auto bad = [](std::int64_t seq) {
    auto line = bytes_of(seq, seq);
    line[line.size() / 2] = '#';
    return line;
  };
  Bench bench;
  bench.put(lock_name, "");
  const auto kept = bytes_of(1, 2) + bad(3) + bytes_of(4, 4);
  bench.put(shot_log_name, kept + bad(5) + bad(6));
  REQUIRE(bench.open() == "");
  CHECK(bench.lines.size() == 3);
  CHECK(to_text(bench.damage) ==
        ":3:1: error: the checksum doesn't match\n"
        "  wanted: the line as it was written; it is left out, the rest is kept\n");
  CHECK(bench.note ==
        "a crash tore the end of the shot log: " + std::to_string(bad(5).size() + bad(6).size()) +
            " bytes were cut off, 1 damaged lines among them");
  CHECK(bench.log() == kept);
}

TEST_CASE("a file that is no shot log is refused and left as it is") {
  for (const std::string text : {"hello\n", "\n", "{}\n", "{\"seq\":1,\"utc\":\"never\"}\nsecond line\n"}) {
    Bench bench;
    bench.put(lock_name, "");
    bench.put(shot_log_name, text);
    CHECK(bench.open() ==
          bench.file(shot_log_name) +
              ": error: the file isn't a shot log: no line of it can be read as one\n"
              "  wanted: a log this noonfall writes; move the file away, or name another folder with --state "
              "DIR\n");
    CHECK(bench.log() == text);
  }
}

TEST_CASE("a log of another version is refused and left as it is") {
  auto text = bytes_of(1, 1);
  const std::string version = "\"noonfall_shot_log\":2";
  text.replace(text.find(version), version.size(), "\"noonfall_shot_log\":3");
  Bench bench;
  bench.put(lock_name, "");
  bench.put(shot_log_name, text);
  CHECK(bench.open() ==
        bench.file(shot_log_name) +
            ": error: the shot log is of version 3 of its format, not 1 to 2\n"
            "  wanted: a log this noonfall writes; move the file away, or name another folder with --state "
            "DIR\n");
  CHECK(bench.log() == text);
}

TEST_CASE("a log of version 1 is gone on with") {
  const auto old = tests::text_of_file(NOONFALL_SOURCE "/tests/golden/version-1.shots.jsonl");
  Bench bench;
  bench.put(lock_name, "");
  bench.put(shot_log_name, old);
  REQUIRE(bench.open() == "");
  CHECK(bench.lines.size() == 68);
  bench.append(69, 70);
  CHECK(bench.log() == old + bytes_of(69, 70));
}

TEST_CASE("a log that a flood made larger than any plan is gone on with all the same") {
  Bench bench;
  bench.put(lock_name, "");
  auto flooded = bytes_of(1, 1);
  std::int64_t seq = 1;
  const std::string why(4000, 'x');
  while (flooded.size() <= std::size_t{66} << 20U)
    flooded += shotlog::encode({++seq, Utc{}, {}, shotlog::CommandLine{shotlog::Hold{"nobody"}, why}});
  bench.put(shot_log_name, flooded);
  REQUIRE(bench.open() == "");
  REQUIRE_FALSE(bench.lines.empty());
  CHECK(bench.lines.back().seq == seq);
  bench.append(seq + 1, seq + 1);
  CHECK(bench.log().size() == flooded.size() + bytes_of(seq + 1, seq + 1).size());
}
