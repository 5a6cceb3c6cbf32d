// Writes to a screen, a pipe or a system journal without ever waiting for whoever reads it: a terminal
// stopped with Ctrl-S mustn't stop the shooting.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "daemon/posix/file_descriptor.h"

namespace noonfall::posix {

/// SIGPIPE must be ignored. Once the other end is gone everything is swallowed.
class PatientOutput {
 public:
  /// Of a descriptor that stays open. Terminals and pipes are opened anew, so that the mode set here isn't
  /// also the one of the shell that shares them.
  explicit PatientOutput(int fd);

  /// All of it, now or when the reader takes it again.
  void write(std::string_view bytes);
  /// Hands on what waits; true when nothing does.
  bool flush();
  [[nodiscard]] std::size_t waiting() const { return waiting_.size(); }

 private:
  [[nodiscard]] ssize_t write_some(std::string_view bytes) const;

  int fd_;
  FileDescriptor own_;
  bool is_socket_ = false;
  bool gone_ = false;
  std::string waiting_;
};

}  // namespace noonfall::posix
