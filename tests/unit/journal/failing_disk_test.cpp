// What a full or dying disk does to the log. The rule behind the new file: fsync(2) and "Can applications
// recover from fsync failures?", A. Rebello and others, USENIX ATC 2020: after a failed sync the pages are
// marked clean, so a later success says nothing about them.
#include <doctest/doctest.h>

#include "tests/unit/journal/journal_bench.h"

using namespace noonfall;
using namespace noonfall::journal;

TEST_CASE("on a full disk lines wait in their order, the alarm comes once, and nothing is lost") {
  Bench bench;
  REQUIRE(bench.open() == "");
  bench.append(1, 2);
  bench.failing.room = 0;
  bench.append(3, 10);
  CHECK(bench.told() ==
        "ALARM the shot log can't be written: No space left on device; the shooting goes on and its lines "
        "wait in memory\n");
  CHECK(bench.log() == bytes_of(1, 2));
  CHECK(bench.journal().waiting_bytes() == bytes_of(3, 10).size());
  CHECK(bench.told() == "");
  bench.failing.room = 1 << 20;
  bench.append(11, 11);  // tried again by poll alone, so that a dead disk isn't asked with every line
  CHECK(bench.log() == bytes_of(1, 2));
  CHECK(bench.told() == "CLEAR the shot log is written again, nothing is lost\n");
  CHECK(bench.log() == bytes_of(1, 11));
  bench.append(12, 12);
  CHECK(bench.log() == bytes_of(1, 12));
}

TEST_CASE("a disk that fills up at any byte of a line ends with every line once") {
  const auto whole = bytes_of(1, 3);
  const auto third = bytes_of(3, 3).size();
  for (std::size_t room = whole.size() - third; room <= whole.size(); ++room) {
    CAPTURE(room);
    Bench bench;
    REQUIRE(bench.open() == "");
    bench.failing.room = static_cast<int>(room);
    bench.append(1, 3);
    REQUIRE(bench.log() == whole.substr(0, room));
    REQUIRE(shotlog::replay(bench.log()).damage.empty());
    bench.failing.room = 1 << 20;
    bench.append(4, 4);
    (void)bench.told();
    REQUIRE(bench.log() == bytes_of(1, 4));
  }
}

TEST_CASE("a disk that takes a few bytes at a time gets the whole line") {
  Bench bench;
  REQUIRE(bench.open() == "");
  bench.failing.at_most = 7;
  bench.append(1, 3);
  CHECK(bench.log() == bytes_of(1, 3));
  CHECK(bench.told() == "");
}

TEST_CASE("lines beyond what memory may hold are lost, which is said, and later ones are kept again") {
  const auto one = bytes_of(10, 10).size();
  Bench bench{{250ms, 0, 3 * one}};
  REQUIRE(bench.open() == "");
  bench.failing.at_most = 1 << 20;
  bench.append(2, 2);
  bench.failing.write = EIO;
  bench.append(10, 14);
  CHECK(bench.told() ==
        "ALARM the shot log can't be written: Input/output error; the shooting goes on and its lines wait in "
        "memory\n"
        "ALARM the shot log has no room left in memory either: lines from 13 on are lost\n");
  bench.failing.write = 0;
  CHECK(bench.told() == "CLEAR the shot log is written again; 2 lines, 13 to 14, are lost\n");
  bench.append(15, 15);
  CHECK(bench.log() == bytes_of(2, 2) + bytes_of(10, 12) + bytes_of(15, 15));
}

TEST_CASE("lines that wait when the journal is closed are tried once more") {
  Bench bench;
  REQUIRE(bench.open() == "");
  bench.failing.room = 0;
  bench.append(1, 3);
  bench.failing.room = 1 << 20;
  bench.close();
  CHECK(bench.log() == bytes_of(1, 3));
}

TEST_CASE("what was written reaches the disk by itself, and at once when a phase changes") {
  Bench bench{{std::chrono::hours{1}, 0, 1 << 20}};
  REQUIRE(bench.open() == "");
  REQUIRE(comes_true([&] { return bench.failing.syncs == 1; }));  // of the new file
  bench.append(1, 5);
  bench.journal().phase_change();
  CHECK(comes_true([&] { return bench.failing.syncs == 2; }));
  Bench quick;
  REQUIRE(quick.open() == "");
  REQUIRE(comes_true([&] { return quick.failing.syncs == 1; }));
  quick.append(1, 5);
  CHECK(comes_true([&] { return quick.failing.syncs == 2; }));
}

TEST_CASE("lines appended while the disk is busy all the time are all there, in their order") {
  Bench bench{{0us, 0, 1 << 20}};
  REQUIRE(bench.open() == "");
  std::int64_t seq = 0;
  while (seq < 3000 || (bench.failing.syncs <= 3 && seq < 100'000)) {
    ++seq;
    bench.append(seq, seq);
    if (seq % 10 == 0) bench.journal().phase_change();
    if (seq % 100 == 0) CHECK(bench.told() == "");
  }
  REQUIRE(bench.failing.syncs > 3);
  CHECK(bench.log() == bytes_of(1, seq));
}

TEST_CASE(
    "after a failed sync every line so far is in a new file, the old one is kept, and the alarm says so") {
  Bench bench{{1ms, 0, 1 << 20}};
  REQUIRE(bench.open() == "");
  REQUIRE(comes_true([&] { return bench.failing.syncs >= 1; }));
  bench.append(1, 3);
  REQUIRE(comes_true([&] { return bench.failing.syncs >= 2; }));
  bench.failing.sync_data = EIO;
  bench.append(4, 4);
  const int syncs = bench.failing.syncs;
  REQUIRE(comes_true([&] { return bench.failing.syncs > syncs; }));
  bench.failing.sync_data = 0;
  CHECK(bench.told_at_last() ==
        "ALARM the disk didn't keep the shot log: Input/output error; a new shots.jsonl has every line so "
        "far\n");
  CHECK(tests::text_of_file(bench.file("shots.failed-1.jsonl")) == bytes_of(1, 4));
  CHECK(bench.log() == bytes_of(1, 4));
  bench.append(5, 6);
  CHECK(bench.log() == bytes_of(1, 6));
  CHECK(tests::text_of_file(bench.file("shots.failed-1.jsonl")) == bytes_of(1, 4));
  CHECK(bench.told_at_last() == "CLEAR the new shots.jsonl is on the disk\n");
}

TEST_CASE("a disk that keeps nothing gets one new file, not one a second") {
  Bench bench{{1ms, 0, 1 << 20}};
  REQUIRE(bench.open() == "");
  REQUIRE(comes_true([&] { return bench.failing.syncs >= 1; }));
  bench.failing.sync_data = EIO;
  bench.append(1, 3);
  CHECK(bench.told_at_last() ==
        "ALARM the disk didn't keep the shot log: Input/output error; a new shots.jsonl has every line so "
        "far\n");
  CHECK(bench.told_at_last() ==
        "ALARM the disk doesn't keep the new shot log either: Input/output error; save what you can when the "
        "run is over\n");
  for (std::int64_t seq = 4; seq < 50; ++seq) {
    bench.append(seq, seq);
    CHECK(bench.told() == "");
  }
  CHECK(bench.log() == bytes_of(1, 49));
  CHECK_FALSE(std::filesystem::exists(bench.file("shots.failed-2.jsonl")));
}

TEST_CASE("when no new file can be made after a failed sync the old one is gone on with") {
  struct Trouble {
    std::atomic<int> Failing::*call;
    int error;
    std::string words;
  };
  for (const auto& trouble : {Trouble{&Failing::open, EMFILE, "Too many open files"},
                              Trouble{&Failing::rename, EROFS, "Read-only file system"},
                              Trouble{&Failing::link, EACCES, "Permission denied"}}) {
    Bench bench{{1ms, 0, 1 << 20}};
    REQUIRE(bench.open() == "");
    REQUIRE(comes_true([&] { return bench.failing.syncs >= 1; }));
    bench.failing.*trouble.call = trouble.error;
    bench.failing.sync_data = EIO;
    bench.append(1, 3);
    CHECK(bench.told_at_last() ==
          "ALARM the disk didn't keep the shot log: Input/output error; a new file can't be written: " +
              trouble.words + "; the shooting goes on\n");
    bench.append(4, 4);
    CHECK(bench.log() == bytes_of(1, 4));
    CHECK_FALSE(std::filesystem::exists(bench.file("shots.jsonl.part")));
    bench.failing.*trouble.call = 0;
    bench.failing.sync_data = 0;
    CHECK(bench.told_at_last() ==
          "ALARM the disk still doesn't keep the shot log; a new shots.jsonl has every line so far\n");
    CHECK(bench.log() == bytes_of(1, 4));
  }
}
