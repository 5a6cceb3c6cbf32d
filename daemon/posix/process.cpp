#include "daemon/posix/process.h"

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
#include <cstdlib>
#include <filesystem>
#include <sstream>
#include <system_error>

#include <fmt/format.h>

#include "daemon/posix/boot_time.h"
#include "daemon/posix/error_words.h"

namespace noonfall::posix {
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

void describe_files(SpawnPlan& plan, const Command& command) {
  const auto* input = command.stdin_file.empty() ? "/dev/null" : command.stdin_file.c_str();
  posix_spawn_file_actions_addopen(&plan.files, STDIN_FILENO, input, O_RDONLY, 0);
  if (command.stdout_to >= 0) {
    posix_spawn_file_actions_adddup2(&plan.files, command.stdout_to, STDOUT_FILENO);
  } else {
    posix_spawn_file_actions_addopen(&plan.files, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
  }
  // a pipe of that name mustn't keep the child waiting, nor us for the child
  if (!command.stderr_file.empty())
    posix_spawn_file_actions_addopen(&plan.files, STDERR_FILENO, command.stderr_file.c_str(),
                                     O_WRONLY | O_CREAT | O_APPEND | O_NONBLOCK, 0600);
  posix_spawn_file_actions_addclosefrom_np(&plan.files, STDERR_FILENO + 1);
}

void describe_attributes(SpawnPlan& plan, const Command& command) {
  sigset_t none;
  sigset_t all;
  sigemptyset(&none);
  sigfillset(&all);
  posix_spawnattr_setsigmask(&plan.attributes, &none);
  posix_spawnattr_setsigdefault(&plan.attributes, &all);
  const int session = command.stderr_file.empty() ? 0 : POSIX_SPAWN_SETSID;
  posix_spawnattr_setflags(&plan.attributes,
                           static_cast<short>(session | POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF));
}

std::vector<char*> pointers(std::vector<std::string>& texts) {
  std::vector<char*> list;
  for (auto& text : texts) list.push_back(text.data());
  list.push_back(nullptr);
  return list;
}

}  // namespace

std::vector<std::string> library_variables() {
  std::vector<std::string> variables;
  for (const char* name : {"IOLIBS", "CAMLIBS", "NOONFALL_BODIES"}) {
    const char* value = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): nothing here sets variables
    if (value != nullptr) variables.push_back(fmt::format("{}={}", name, value));
  }
  return variables;
}

std::vector<std::string> parse_argv(const std::string& text) {
  std::istringstream in{text};
  std::vector<std::string> words;
  for (std::string word; in >> word;) words.push_back(std::move(word));
  if (words.empty() || words.front().front() != '/') return {};
  return words;
}

std::string program_beside(const char* name) {
  std::error_code failed;
  const auto here = std::filesystem::read_symlink("/proc/self/exe", failed);
  return failed ? name : (here.parent_path() / name).string();
}

std::string to_text(const ProcessEnd& end) {
  if (end.exit) return fmt::format("ended with exit code {}", *end.exit);
  return end.signal ? fmt::format("was killed by signal {}", *end.signal) : "has ended";
}

Result<Process> Process::start(const Command& command) {
  ::mkdir(command.home.c_str(), 0700);
  SpawnPlan plan;
  describe_files(plan, command);
  describe_attributes(plan, command);
  std::vector<std::string> words{command.executable};
  words.insert(words.end(), command.arguments.begin(), command.arguments.end());
  std::vector<std::string> environment{"LC_ALL=C", "TZ=UTC", "PATH=/usr/local/bin:/usr/bin:/bin",
                                       "HOME=" + command.home};
  environment.insert(environment.end(), command.variables.begin(), command.variables.end());
  Process process;
  errno = ::posix_spawn(&process.pid_, command.executable.c_str(), &plan.files, &plan.attributes,
                        pointers(words).data(), pointers(environment).data());
  if (errno == 0) process.descriptor_ = FileDescriptor{::pidfd_open(process.pid_, 0)};
  if (process.descriptor_) return process;
  return fail(error_at({}, "process", fmt::format("can't start {}: {}", command.executable, error_words()),
                       "all programs of noonfall in one folder, and folders that can be written to"));
}

std::optional<Process> Process::find(int pid) {
  Process process;
  process.pid_ = pid;
  if (pid > 0) process.descriptor_ = FileDescriptor{::pidfd_open(pid, 0)};
  if (!process.descriptor_) return std::nullopt;
  return process;
}

void Process::signal(int number) const {
  ::pidfd_send_signal(descriptor_.get(), number, nullptr, 0);
}

bool Process::has_ended(Duration patience) const {
  pollfd end{descriptor_.get(), POLLIN, 0};
  const auto wait = std::chrono::ceil<std::chrono::milliseconds>(std::max(patience, Duration{})).count();
  return ::poll(&end, 1, static_cast<int>(std::min<std::int64_t>(wait, INT32_MAX))) > 0;
}

ProcessEnd Process::end() const {
  siginfo_t ended{};
  if (::waitid(P_PIDFD, static_cast<id_t>(descriptor_.get()), &ended, WEXITED | WNOHANG) != 0 ||
      ended.si_pid == 0) {
    return {};
  }
  if (ended.si_code == CLD_EXITED) return {ended.si_status, std::nullopt};
  return {std::nullopt, ended.si_status};
}

std::vector<Process> listeners_in(const std::string& folder, std::string_view beginning,
                                  std::string_view ending, SocketKind kind) {
  std::vector<Process> found;
  std::error_code ignored;
  for (const auto& entry : std::filesystem::directory_iterator{folder, ignored}) {
    const auto name = entry.path().filename().string();
    if (!name.starts_with(beginning) || !name.ends_with(ending)) continue;
    const auto socket = connect_in(folder, name, kind);
    if (!socket) continue;
    if (auto process = Process::find(peer_pid(socket.get()))) found.push_back(std::move(*process));
  }
  return found;
}

void end_all(const std::vector<Process>& processes, Duration patience) {
  constexpr Duration to_die = std::chrono::seconds{1};
  const auto until = boot_now() + patience;
  for (const auto& process : processes) process.signal(SIGTERM);
  for (const auto& process : processes) {
    if (process.has_ended(until - boot_now())) continue;
    process.signal(SIGKILL);
    (void)process.has_ended(to_die);
  }
}

}  // namespace noonfall::posix
