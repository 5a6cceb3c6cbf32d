// The pictures a simulated body really took, as lines of a file: its memory over restarts, and the truth that
// logs are compared with.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "daemon/posix/file_descriptor.h"
#include "lib/base/result.h"
#include "sim/body/simulated_body.h"

namespace noonfall::worker {

/// One line with its '\n'.
[[nodiscard]] std::string to_line(const sim::RecordedFrame& frame);

/// Every line that can be read; a torn or damaged one is passed over.
[[nodiscard]] std::vector<sim::RecordedFrame> read_record(std::string_view text);

/// The record as a file that is only appended to.
class RecordFile {
 public:
  /// Made when it isn't there.
  [[nodiscard]] static Result<RecordFile> open(const std::string& path);

  /// Pictures recorded when it was opened.
  [[nodiscard]] int taken_before() const { return taken_before_; }
  /// One write().
  void append(const sim::RecordedFrame& frame);

 private:
  posix::FileDescriptor file_;
  int taken_before_ = 0;
  bool torn_ = false;  // the last line has no end
};

}  // namespace noonfall::worker
