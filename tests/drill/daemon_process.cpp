#include "tests/drill/daemon_process.h"

#include <csignal>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <thread>

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/program/run_program.h"

namespace noonfall::drill {

using namespace std::chrono_literals;

DaemonProcess::~DaemonProcess() {
  if (pid_ > 0) {
    kill(SIGKILL);
    (void)wait(10s);
  }
  for (const auto worker : workers()) ::kill(worker, SIGKILL);
}

void DaemonProcess::start(const std::vector<std::string>& arguments) {
  std::vector<std::string> words{program_, "--state", folder_};
  words.insert(words.end(), arguments.begin(), arguments.end());
  std::vector<char*> argv;
  for (auto& word : words) argv.push_back(word.data());
  argv.push_back(nullptr);
  const auto out = folder_ + ".out";
  pid_ = ::fork();
  if (pid_ < 0) throw std::runtime_error{"no process"};
  if (pid_ > 0) return;
  const int null = ::open("/dev/null", O_RDONLY);
  const int file = ::open(out.c_str(), O_WRONLY | O_CREAT | O_APPEND, 0600);
  ::dup2(null, 0);
  ::dup2(file, 1);
  ::dup2(file, 2);
  ::execv(argv.front(), argv.data());
  ::_exit(127);
}

void DaemonProcess::kill(int signal) {
  if (pid_ > 0) ::kill(pid_, signal);
}

std::optional<int> DaemonProcess::wait(std::chrono::milliseconds wait) {
  const auto until = std::chrono::steady_clock::now() + wait;
  for (;;) {
    int status = 0;
    if (::waitpid(pid_, &status, WNOHANG) == pid_) {
      pid_ = -1;
      return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
    }
    if (std::chrono::steady_clock::now() >= until) return std::nullopt;
    std::this_thread::sleep_for(2ms);
  }
}

std::vector<pid_t> DaemonProcess::workers() const {
  namespace fs = std::filesystem;
  std::vector<pid_t> found;
  std::error_code ignored;
  for (const auto& entry : fs::directory_iterator{"/proc", ignored}) {
    const auto name = entry.path().filename().string();
    if (name.find_first_not_of("0123456789") != std::string::npos) continue;
    std::ifstream file{entry.path() / "cmdline", std::ios::binary};
    const std::string words{std::istreambuf_iterator<char>{file}, {}};
    const auto folder = std::string{"--socket-dir"} + '\0' + folder_ + '\0';
    if (words.find("noonfall-camera") != std::string::npos && words.find(folder) != std::string::npos)
      found.push_back(static_cast<pid_t>(std::stol(name)));
  }
  return found;
}

std::string DaemonProcess::log() const {
  return tests::text_of_file(folder_ + "/shots.jsonl");
}

}  // namespace noonfall::drill
