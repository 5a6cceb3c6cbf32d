// The shot log on the disk: every line written at once, brought to the disk by a thread behind, and kept in
// memory when the disk fails.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/journal/disk_sync.h"
#include "daemon/journal/run_folder.h"
#include "daemon/journal/second_place.h"
#include "daemon/posix/file_descriptor.h"
#include "lib/shotlog/line.h"

namespace noonfall::journal {

using namespace std::chrono_literals;

struct JournalSettings {
  Duration sync_within = 250ms;
  std::size_t reserve_bytes = std::size_t{4} << 20U;  // room taken on the disk at the start
  std::size_t most_waiting = std::size_t{4} << 20U;   // bytes kept for a disk that takes none
  std::vector<std::string> second_places = {};        // folders for them meanwhile, see SecondPlace
};

/// What a person should know of the log's disk.
struct JournalNews {
  enum class Kind { alarm, all_clear, note } kind = Kind::note;
  std::string words;
};

/// For one thread; its own never touches anything but the file. Keeps the whole log in memory (some MB).
class ShotJournal {
 public:
  struct Opened;
  /// Goes on with the log that is there, or begins one. Refused with nothing touched: a file that is no shot
  /// log, or one of another version. `folder` outlives the journal.
  [[nodiscard]] static Result<Opened> open(const RunFolder& folder, JournalSettings settings,
                                           posix::FileCalls calls = posix::system_file_calls());
  ~ShotJournal();

  /// The line is with the system when this returns (a kill of the process doesn't lose it) and on the disk
  /// within `sync_within`; if the disk takes nothing, it waits in memory and in a second place. A line beyond
  /// `most_waiting` is lost, and said to be.
  void append(const shotlog::Line& line);
  /// What has been appended is brought to the disk at once.
  void phase_change();
  /// Once a second: tries again what couldn't be written. What happened since the last time.
  [[nodiscard]] std::vector<JournalNews> poll();

  [[nodiscard]] std::size_t waiting_bytes() const { return bytes_.size() - written_; }
  /// Whether a kill of the process would lose no line: all are in the file or in the second place.
  [[nodiscard]] bool is_kept() const {
    return in_place_ && !lost_ && (waiting_bytes() == 0 || second_.keeps_up());
  }
  /// Whether shots.jsonl is still the file that is written.
  [[nodiscard]] bool is_in_place();
  /// Writes every line into a new shots.jsonl in the folder as it is now; one that is there is kept beside
  /// it.
  [[nodiscard]] Result<void> write_anew();

 private:
  struct Lost {
    std::int64_t first = 0;
    std::int64_t last = 0;
    std::int64_t count = 0;
  };

  ShotJournal(const RunFolder& folder, JournalSettings settings, posix::FileCalls calls);
  [[nodiscard]] Result<void> begin(std::string kept, bool cut, std::string_view elsewhere);
  void write_waiting();
  void write_failed(int error);
  void keep_elsewhere();
  void written_again();
  void lose(const shotlog::Line& line);
  void sync_ended(int error);
  void start_anew(const std::string& trouble);
  [[nodiscard]] int write_new_file();
  [[nodiscard]] int keep_failed_file() const;
  void reserve();
  void say(JournalNews::Kind kind, std::string words);

  const RunFolder& folder_;
  JournalSettings settings_;
  posix::FileCalls calls_;
  std::shared_ptr<const posix::FileDescriptor> file_;
  std::int64_t file_number_ = 0;
  bool proven_ = true;             // the disk has kept this file's bytes before
  std::optional<int> polls_left_;  // until a file whose sync failed is replaced
  bool in_place_ = true;           // the file can be found by its name
  bool stuck_ = false;             // the disk takes nothing
  std::string bytes_;              // the whole log
  std::size_t written_ = 0;        // of them in the file
  SecondPlace second_;             // of what isn't
  std::optional<Lost> lost_;
  std::vector<JournalNews> news_;
  DiskSync disk_;
};

struct ShotJournal::Opened {
  std::unique_ptr<ShotJournal> journal;
  std::vector<shotlog::Line> lines;  // of the run so far
  Diagnostics damage;                // lines left out, by line number of the file
  std::string note;                  // what was cut off or taken over from a second place; empty for nothing
};

}  // namespace noonfall::journal
