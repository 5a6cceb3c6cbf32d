// A run's folder that somebody deletes or moves away while the daemon lives.
#include <sys/stat.h>

#include <doctest/doctest.h>

#include "daemon/journal/folder_watch.h"
#include "tests/unit/journal/journal_bench.h"

using namespace noonfall;
using namespace noonfall::journal;
namespace fs = std::filesystem;

namespace {

/// A run with its files, and a watch over it.
class Watched {
 public:
  Watched() {
    REQUIRE(bench.open() == "");
    bench.put("plan.yaml", "the plan");
    fs::create_directory(bench.file("bodies"));
    bench.put("bodies/0.yaml", "a profile");
    bench.put("rig-0.profile.yaml", "what a worker is given");
    bench.put("run.json", "the settings");
    bench.append(1, 3);
    watch.emplace(bench.folder(), bench.journal());
    REQUIRE(look() == "");
  }

  std::string look() {
    const auto news = watch->look();
    if (!news) return "";
    return (news->folder == FolderNews::Folder::fresh ? "fresh: " : "missing: ") + news->alarm;
  }
  [[nodiscard]] std::string made_anew() const {
    return "fresh: " + bench.path() +
           " or its shots.jsonl was deleted or moved away; it is there anew, with the whole log and all that "
           "a "
           "restart needs";
  }
  void check_whole(std::int64_t last) {
    CHECK(bench.log() == bytes_of(1, last));
    CHECK(tests::text_of_file(bench.file("plan.yaml")) == "the plan");
    CHECK(tests::text_of_file(bench.file("bodies/0.yaml")) == "a profile");
    CHECK(tests::text_of_file(bench.file("rig-0.profile.yaml")) == "what a worker is given");
    CHECK(tests::text_of_file(bench.file("run.json")) == "the settings");
    CHECK(is_held(bench.path()));
    struct stat status {};
    REQUIRE(::stat(bench.path().c_str(), &status) == 0);
    CHECK((status.st_mode & 07777U) == 0700U);
  }

  Bench bench;
  std::optional<FolderWatch> watch;
};

}  // namespace

TEST_CASE("a folder deleted or moved away is there anew, with the whole log and what a restart needs") {
  Watched run;
  auto& bench = run.bench;
  const auto away = bench.path() + "-away";
  SUBCASE("deleted") {
    fs::remove_all(bench.path());
  }
  SUBCASE("moved away") {
    fs::rename(bench.path(), away);
  }
  SUBCASE("deleted, and an empty one made") {
    fs::remove_all(bench.path());
    fs::create_directory(bench.path());
    fs::permissions(bench.path(), fs::perms::owner_all);
  }
  bench.append(4, 5);
  CHECK(run.look() == run.made_anew());
  run.check_whole(5);
  CHECK(run.look() == "");
  bench.append(6, 7);
  run.check_whole(7);
  CHECK(bench.told_at_last() == "CLEAR the new shots.jsonl is on the disk\n");
  // Nobody goes on with the one moved away while this daemon lives.
  if (fs::exists(away)) CHECK(is_held(away));
  fs::remove_all(bench.path());
  CHECK(run.look() == run.made_anew());
  run.check_whole(7);
}

TEST_CASE("a log deleted or replaced alone is there anew, and what was put in its place is kept") {
  Watched run;
  auto& bench = run.bench;
  SUBCASE("deleted") {
    fs::remove(bench.file(shot_log_name));
    fs::remove(bench.file(lock_name));
  }
  SUBCASE("replaced") {
    fs::remove(bench.file(shot_log_name));
    bench.put(shot_log_name, "a letter");
  }
  const bool replaced = fs::exists(bench.file(shot_log_name));
  CHECK(run.look() == run.made_anew());
  run.check_whole(3);
  CHECK(tests::text_of_file(bench.file("shots.failed-1.jsonl")) == (replaced ? "a letter" : ""));
}

TEST_CASE("where no folder can be made the alarm comes once, nothing is called kept, and it is tried again") {
  Watched run;
  auto& bench = run.bench;
  REQUIRE(bench.journal().is_kept());
  fs::rename(bench.path(), bench.path() + "-away");
  const auto gone =
      "missing: " + bench.path() + " or its shots.jsonl was deleted or moved away and can't be made anew: ";
  SUBCASE("something else lies there") {
    std::ofstream{bench.path()} << "a letter";
    CHECK(run.look().starts_with(gone));
    CHECK(tests::text_of_file(bench.path()) == "a letter");
    CHECK_FALSE(bench.journal().is_kept());
    CHECK(run.look() == "");
    fs::remove(bench.path());
  }
  SUBCASE("another run lies there") {
    bench.put(shot_log_name, bytes_of(1, 1));
    CHECK(run.look().starts_with(gone + bench.path() + " is the folder of another run now"));
    CHECK(bench.log() == bytes_of(1, 1));
    CHECK(run.look() == "");
    fs::remove_all(bench.path());
  }
  SUBCASE("the disk is full") {
    bench.failing.write = ENOSPC;
    CHECK(run.look().starts_with(gone));
    CHECK_FALSE(bench.journal().is_kept());
    CHECK(run.look() == "");
    bench.failing.write = 0;
  }
  bench.append(4, 4);
  CHECK(run.look() == run.made_anew());
  run.check_whole(4);
  CHECK(bench.journal().is_kept());
}
