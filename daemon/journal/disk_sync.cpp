#include "daemon/journal/disk_sync.h"

#include <cerrno>
#include <utility>

#include "daemon/posix/file_descriptor.h"

namespace noonfall::journal {

DiskSync::DiskSync(posix::FileCalls calls, int directory, Duration within)
    : calls_{std::move(calls)}, directory_{directory}, within_{within}, thread_{[this] { work(); }} {}

DiskSync::~DiskSync() {
  {
    const std::lock_guard lock{mutex_};
    ending_ = true;
  }
  changed_.notify_one();
  thread_.join();
}

void DiskSync::watch(std::int64_t number, std::shared_ptr<const posix::FileDescriptor> file) {
  {
    const std::lock_guard lock{mutex_};
    number_ = number;
    file_ = std::move(file);
    name_is_new_ = true;
    wanted_ = true;
    urgent_ = true;
  }
  changed_.notify_one();
}

void DiskSync::wrote() {
  {
    const std::lock_guard lock{mutex_};
    if (std::exchange(wanted_, true)) return;
  }
  changed_.notify_one();
}

void DiskSync::hurry() {
  {
    const std::lock_guard lock{mutex_};
    urgent_ = wanted_;
  }
  changed_.notify_one();
}

std::optional<SyncResult> DiskSync::take_result() {
  const std::lock_guard lock{mutex_};
  return std::exchange(result_, std::nullopt);
}

int DiskSync::sync(const posix::FileDescriptor& file, bool name_is_new) const {
  if (calls_.sync_data(file.get()) != 0) return errno;
  if (name_is_new && calls_.sync(directory_) != 0) return errno;
  return 0;
}

void DiskSync::work() {
  std::unique_lock lock{mutex_};
  while (true) {
    changed_.wait(lock, [this] { return wanted_ || ending_; });
    if (!wanted_) return;
    changed_.wait_for(lock, within_, [this] { return urgent_ || ending_; });
    wanted_ = urgent_ = false;
    const auto file = file_;
    const auto number = number_;
    const bool name_is_new = std::exchange(name_is_new_, false);
    lock.unlock();
    const int error = sync(*file, name_is_new);
    lock.lock();
    if (result_ && result_->file == number && result_->error != 0) continue;
    result_ = SyncResult{number, error};
  }
}

}  // namespace noonfall::journal
