// Whether a run's folder is still where it was; where it isn't, it is made anew with the whole log and all
// that a restart needs.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "daemon/journal/run_folder.h"
#include "daemon/journal/shot_journal.h"
#include "lib/base/result.h"

namespace noonfall::journal {

struct FolderNews {
  std::string alarm;
  enum class Folder { missing, fresh } folder = Folder::missing;
};

class FolderWatch {
 public:
  /// Reads the files that are there: settings, plan, profiles and faults. Both outlive the watch.
  FolderWatch(RunFolder& folder, ShotJournal& journal);

  /// Once a second. Nothing while all is in place, or still as it was told.
  [[nodiscard]] std::optional<FolderNews> look();

 private:
  void read_files(const std::string& below);
  [[nodiscard]] Result<void> make_anew();
  [[nodiscard]] Result<void> write_files() const;

  RunFolder& folder_;
  ShotJournal& journal_;
  std::vector<std::pair<std::string, std::string>> files_;  // name below the folder, bytes
  bool whole_ = true;                                       // nothing is left to make anew
  std::string told_;                                        // of the trouble that goes on
};

}  // namespace noonfall::journal
