// A journal in a scratch folder, and what it told.
#pragma once

#include <chrono>
#include <memory>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include <doctest/doctest.h>

#include "daemon/journal/shot_journal.h"
#include "lib/shotlog/codec.h"
#include "lib/shotlog/replay.h"
#include "tests/program/run_program.h"
#include "tests/unit/journal/failing_calls.h"
#include "tests/unit/shotlog/lines.h"

namespace noonfall::journal {

/// Sequence number 1 is a header.
[[nodiscard]] inline shotlog::Line line_number(std::int64_t seq) {
  const shotlog::ClockState clock{shotlog::ClockGrade::a, Duration{3'000}};
  if (seq == 1) return {1, shotlog::at(0), clock, shotlog::sample_header()};
  return {seq, shotlog::at(seq * 10), clock, shotlog::Note{"a line like any other"}};
}

[[nodiscard]] inline std::string bytes_of(std::int64_t first, std::int64_t last) {
  std::string bytes;
  for (auto seq = first; seq <= last; ++seq) bytes += shotlog::encode(line_number(seq));
  return bytes;
}

/// Tries again until `holds` or far too long has passed.
template <class Holds>
[[nodiscard]] bool comes_true(const Holds& holds) {
  using namespace std::chrono_literals;
  for (int tries = 0; tries < 3000; ++tries) {
    if (holds()) return true;
    std::this_thread::sleep_for(10ms);
  }
  return false;
}

class Bench {
 public:
  explicit Bench(JournalSettings settings = {}) : settings_{std::move(settings)} {}

  /// Words of the errors; empty when it opened.
  std::string open() {
    journal_.reset();
    folder_.reset();
    auto folder = RunFolder::open(path());
    if (!folder) return to_text(folder.error());
    folder_ = std::make_unique<RunFolder>(std::move(*folder));
    auto opened = ShotJournal::open(*folder_, settings_, calls_with(failing));
    if (!opened) return to_text(opened.error());
    journal_ = std::move(opened->journal);
    lines = std::move(opened->lines);
    damage = std::move(opened->damage);
    note = std::move(opened->note);
    return {};
  }
  void close() {
    journal_.reset();
    folder_.reset();
  }
  void append(std::int64_t first, std::int64_t last) {
    for (auto seq = first; seq <= last; ++seq) journal_->append(line_number(seq));
  }
  void put(const std::string& name, const std::string& bytes) {
    std::filesystem::create_directories(path());
    std::ofstream{file(name), std::ios::binary} << bytes;
  }
  /// The log's file takes so many bytes more; other files go on.
  void fill_disk(std::size_t room = 0) {
    struct stat status {};
    REQUIRE(::stat(file(shot_log_name).c_str(), &status) == 0);
    failing.disk = status.st_ino;
    failing.room = static_cast<int>(room);
  }
  /// Everything told since the last call, one a line.
  std::string told() {
    std::string all;
    for (const auto& news : journal_->poll()) all += word_of(news) + "\n";
    return all;
  }
  /// Polls until something is told.
  std::string told_at_last() {
    std::string all;
    REQUIRE(comes_true([&] { return !(all = told()).empty(); }));
    return all;
  }
  [[nodiscard]] std::string log() const { return tests::text_of_file(file(shot_log_name)); }
  [[nodiscard]] std::string path() const { return scratch_.path("run"); }
  [[nodiscard]] std::string file(const std::string& name) const { return path() + "/" + name; }
  ShotJournal& journal() { return *journal_; }
  RunFolder& folder() { return *folder_; }

  Failing failing;
  std::vector<shotlog::Line> lines;
  Diagnostics damage;
  std::string note;

 private:
  static std::string word_of(const JournalNews& news) {
    switch (news.kind) {
      case JournalNews::Kind::alarm:
        return "ALARM " + news.words;
      case JournalNews::Kind::all_clear:
        return "CLEAR " + news.words;
      case JournalNews::Kind::note:
        break;
    }
    return "note " + news.words;
  }

  tests::ScratchFolder scratch_;
  JournalSettings settings_;
  std::unique_ptr<RunFolder> folder_;
  std::unique_ptr<ShotJournal> journal_;
};

}  // namespace noonfall::journal
