// Where the end of the shot log is kept while its disk takes nothing: in memory of the system's, so that no
// kill of a process loses it.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/posix/file_calls.h"
#include "daemon/posix/file_descriptor.h"

namespace noonfall::journal {

/// One file, in the first of `folders` that takes it: the log's first line, by which the file is named, and
/// every line from the first that the disk hasn't whole. Folders are made for the owner alone (their parents
/// aren't made); one that another user could write to, or a symlink, is passed over.
class SecondPlace {
 public:
  SecondPlace(std::vector<std::string> folders, posix::FileCalls calls);

  /// What is kept from now on: all of `log`, of which the disk has the first `on_disk` bytes. With the first
  /// line not on the disk nothing is kept: nobody could say later which log it belongs to.
  void keep(std::string_view log, std::size_t on_disk);
  /// More was appended to the log; nothing happens while nothing is kept.
  void follow(std::string_view log);
  /// Whether everything from keep() on is with the system.
  [[nodiscard]] bool keeps_up() const { return file_.is_open(); }
  /// Empty when there is none.
  [[nodiscard]] const std::string& path() const { return path_; }

  /// Whole lines kept for a log with this beginning, each with its '\n', that it hasn't itself.
  [[nodiscard]] std::string lines_beyond(std::string_view log) const;
  /// The disk has everything.
  void remove(std::string_view log);

 private:
  [[nodiscard]] bool begin(const std::string& folder, std::string_view log, std::size_t from);

  std::vector<std::string> folders_;
  posix::FileCalls calls_;
  posix::FileDescriptor file_;
  std::string path_;
  std::size_t held_ = 0;  // bytes of the log, up to where the file holds it
};

}  // namespace noonfall::journal
