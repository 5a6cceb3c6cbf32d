#include "daemon/worker/end_workers.h"

#include <poll.h>
#include <signal.h>

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <vector>

#include "daemon/posix/boot_time.h"
#include "daemon/worker/unix_socket.h"
#include "daemon/worker/worker_process.h"

namespace noonfall::worker {
namespace {

constexpr Duration patience = std::chrono::seconds{10};

void wait_for_end(const WorkerProcess& process, BootTime until) {
  pollfd end{process.descriptor(), POLLIN, 0};
  const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(until - posix::boot_now());
  if (::poll(&end, 1, static_cast<int>(std::max<std::int64_t>(left.count(), 0))) > 0) return;
  process.signal(SIGKILL);
  ::poll(&end, 1, 1'000);
}

}  // namespace

void end_workers(const std::string& folder) {
  std::vector<WorkerProcess> found;
  std::error_code ignored;
  for (const auto& entry : std::filesystem::directory_iterator{folder, ignored}) {
    const auto name = entry.path().filename().string();
    if (!name.starts_with("rig-") || !name.ends_with(".sock")) continue;
    const auto socket = connect_in(folder, name);
    if (!socket.is_open()) continue;
    if (auto process = WorkerProcess::find(peer_pid(socket.get()))) found.push_back(std::move(*process));
  }
  const auto until = posix::boot_now() + patience;
  for (const auto& process : found) process.signal(SIGTERM);
  for (const auto& process : found) wait_for_end(process, until);
}

}  // namespace noonfall::worker
