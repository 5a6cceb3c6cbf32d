#include "daemon/worker/worker_process.h"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/stat.h>
#include <sys/wait.h>
extern "C" {  // which glibc 2.36 forgot in this header
#include <sys/pidfd.h>
}

#include <algorithm>
#include <cerrno>
#include <filesystem>
#include <system_error>

#include <fmt/format.h>

#include "daemon/posix/boot_time.h"
#include "daemon/posix/error_words.h"
#include "daemon/posix/file_descriptor.h"
#include "daemon/worker/unix_socket.h"

namespace noonfall::worker {
namespace {

/// Frees what posix_spawn's two descriptions hold.
struct SpawnPlan {
  posix_spawn_file_actions_t files;
  posix_spawnattr_t attributes;

  SpawnPlan() {
    posix_spawn_file_actions_init(&files);
    posix_spawnattr_init(&attributes);
  }
  ~SpawnPlan() {
    posix_spawn_file_actions_destroy(&files);
    posix_spawnattr_destroy(&attributes);
  }
  SpawnPlan(const SpawnPlan&) = delete;
  SpawnPlan& operator=(const SpawnPlan&) = delete;
};

void describe_files(SpawnPlan& plan, const std::string& stderr_file) {
  posix_spawn_file_actions_addopen(&plan.files, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
  posix_spawn_file_actions_addopen(&plan.files, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
  // a pipe of that name mustn't keep the child waiting, nor us for the child
  posix_spawn_file_actions_addopen(&plan.files, STDERR_FILENO, stderr_file.c_str(),
                                   O_WRONLY | O_CREAT | O_APPEND | O_NONBLOCK, 0600);
  posix_spawn_file_actions_addclosefrom_np(&plan.files, STDERR_FILENO + 1);
}

void describe_attributes(SpawnPlan& plan) {
  sigset_t none;
  sigset_t all;
  sigemptyset(&none);
  sigfillset(&all);
  posix_spawnattr_setsigmask(&plan.attributes, &none);
  posix_spawnattr_setsigdefault(&plan.attributes, &all);
  posix_spawnattr_setflags(&plan.attributes,
                           POSIX_SPAWN_SETSID | POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF);
}

std::vector<char*> pointers(std::vector<std::string>& texts) {
  std::vector<char*> list;
  for (auto& text : texts) list.push_back(text.data());
  list.push_back(nullptr);
  return list;
}

constexpr Duration end_patience = std::chrono::seconds{10};

void wait_for_end(const WorkerProcess& process, BootTime until) {
  pollfd end{process.descriptor(), POLLIN, 0};
  const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(until - posix::boot_now());
  if (::poll(&end, 1, static_cast<int>(std::max<std::int64_t>(left.count(), 0))) > 0) return;
  process.signal(SIGKILL);
  ::poll(&end, 1, 1'000);
}

}  // namespace

Result<WorkerProcess> WorkerProcess::start(const WorkerCommand& command) {
  ::mkdir(command.home.c_str(), 0700);
  SpawnPlan plan;
  describe_files(plan, command.stderr_file);
  describe_attributes(plan);
  std::vector<std::string> words{command.executable};
  words.insert(words.end(), command.arguments.begin(), command.arguments.end());
  std::vector<std::string> environment{"LC_ALL=C", "TZ=UTC", "PATH=/usr/local/bin:/usr/bin:/bin",
                                       "HOME=" + command.home};
  environment.insert(environment.end(), command.variables.begin(), command.variables.end());
  WorkerProcess process;
  errno = ::posix_spawn(&process.pid_, command.executable.c_str(), &plan.files, &plan.attributes,
                        pointers(words).data(), pointers(environment).data());
  if (errno == 0) process.descriptor_ = posix::FileDescriptor{::pidfd_open(process.pid_, 0)};
  if (!process.descriptor_.is_open()) {
    return fail(error_at({}, "worker",
                         fmt::format("can't start {}: {}", command.executable, posix::error_words()),
                         "the program noonfall-camera, and a run folder that can be written to"));
  }
  return process;
}

std::optional<WorkerProcess> WorkerProcess::find(int pid) {
  WorkerProcess process;
  process.pid_ = pid;
  if (pid > 0) process.descriptor_ = posix::FileDescriptor{::pidfd_open(pid, 0)};
  if (!process.descriptor_.is_open()) return std::nullopt;
  return process;
}

void WorkerProcess::signal(int number) const {
  ::pidfd_send_signal(descriptor_.get(), number, nullptr, 0);
}

std::string WorkerProcess::how_it_ended() const {
  siginfo_t ended{};
  if (::waitid(P_PIDFD, static_cast<id_t>(descriptor_.get()), &ended, WEXITED | WNOHANG) != 0 ||
      ended.si_pid == 0) {
    return "has ended";
  }
  return ended.si_code == CLD_EXITED ? fmt::format("ended with exit code {}", ended.si_status)
                                     : fmt::format("was killed by signal {}", ended.si_status);
}

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
  const auto until = posix::boot_now() + end_patience;
  for (const auto& process : found) process.signal(SIGTERM);
  for (const auto& process : found) wait_for_end(process, until);
}

}  // namespace noonfall::worker
