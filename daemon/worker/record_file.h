// The record of a simulated body (body_record.h) as a file that is only appended to.
#pragma once

#include <string>

#include "daemon/posix/file_descriptor.h"
#include "lib/base/result.h"
#include "sim/body/simulated_body.h"

namespace noonfall::worker {

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
