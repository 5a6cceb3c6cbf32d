// A real noonfalld with its workers, to be watched and killed.
#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <vector>

#include <sys/types.h>

namespace noonfall::drill {

/// Killed with this, its workers too.
class DaemonProcess {
 public:
  DaemonProcess(std::string program, std::string folder)
      : program_{std::move(program)}, folder_{std::move(folder)} {}
  ~DaemonProcess();
  DaemonProcess(const DaemonProcess&) = delete;
  DaemonProcess& operator=(const DaemonProcess&) = delete;

  /// Its output is appended to "out" beside the run's folder.
  void start(const std::vector<std::string>& arguments);
  void kill(int signal);
  /// The exit code, or 128 + the signal it died of; empty while it runs after `wait`.
  std::optional<int> wait(std::chrono::milliseconds wait);
  [[nodiscard]] pid_t pid() const { return pid_; }

  /// Process ids of the run's workers.
  [[nodiscard]] std::vector<pid_t> workers() const;
  [[nodiscard]] std::string log() const;

 private:
  std::string program_;
  std::string folder_;
  pid_t pid_ = -1;
};

}  // namespace noonfall::drill
