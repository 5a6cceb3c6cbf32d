// A worker's process: started with nothing inherited, or found again; watched by a descriptor, so that its
// number can't come to mean another process.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "daemon/posix/file_descriptor.h"
#include "lib/base/result.h"

namespace noonfall::worker {

struct WorkerCommand {
  std::string executable;
  std::vector<std::string> arguments;
  std::string home;                      // its HOME, made when it isn't there
  std::string stderr_file;               // appended to
  std::vector<std::string> variables{};  // of its environment, "NAME=value", beside the few that all have
};

class WorkerProcess {
 public:
  /// In a session of its own, so that what ends us doesn't end it; no descriptor, signal mask or variable of
  /// ours reaches it but those of the command.
  [[nodiscard]] static Result<WorkerProcess> start(const WorkerCommand& command);
  /// One that lives already.
  [[nodiscard]] static std::optional<WorkerProcess> find(int pid);

  [[nodiscard]] int pid() const { return pid_; }
  /// Readable once the process has ended.
  [[nodiscard]] int descriptor() const { return descriptor_.get(); }
  void signal(int number) const;
  /// After its end, and once: "was killed by signal 9". A process that isn't our child only "has ended".
  [[nodiscard]] std::string how_it_ended() const;

 private:
  int pid_ = 0;
  posix::FileDescriptor descriptor_;
};

/// The workers that linger in a run's folder, when the run there is over for good.
/// Each may finish its frame; one that hasn't ended after 10 s is killed. Waits: not for the event loop.
void end_workers(const std::string& folder);

}  // namespace noonfall::worker
