// Brings a file's bytes to the disk on a thread of its own, so that nobody else waits for it.
#pragma once

#include <condition_variable>
#include <cstdint>
#include <memory>
#include <mutex>
#include <optional>
#include <thread>

#include "daemon/posix/file_calls.h"
#include "daemon/posix/file_descriptor.h"
#include "lib/time/utc.h"

namespace noonfall::journal {

/// How the latest call for a file ended.
struct SyncResult {
  std::int64_t file = 0;  // the number it was watched under
  int error = 0;          // errno; 0 when the bytes are on the disk
};

class DiskSync {
 public:
  DiskSync(posix::FileCalls calls, int directory, Duration within);
  /// Brings down what is left first.
  ~DiskSync();
  DiskSync(const DiskSync&) = delete;
  DiskSync& operator=(const DiskSync&) = delete;

  /// From here on about this file, whose name is new in its directory.
  void watch(std::int64_t number, std::shared_ptr<const posix::FileDescriptor> file);
  /// Bytes were written: on the disk within the time given to the constructor.
  void wrote();
  /// They can't wait.
  void hurry();

  /// A failure is kept until taken.
  [[nodiscard]] std::optional<SyncResult> take_result();

 private:
  void work();
  [[nodiscard]] int sync(const posix::FileDescriptor& file, bool name_is_new) const;

  const posix::FileCalls calls_;
  const int directory_;
  const Duration within_;
  std::mutex mutex_;
  std::condition_variable changed_;
  std::shared_ptr<const posix::FileDescriptor> file_;
  std::int64_t number_ = 0;
  bool name_is_new_ = false;
  bool wanted_ = false;
  bool urgent_ = false;
  bool ending_ = false;
  std::optional<SyncResult> result_;
  std::thread thread_;  // last: it uses all of the above
};

}  // namespace noonfall::journal
