// Processes of ours: started with nothing inherited but what is named, or found again; watched by a
// descriptor, so that a number can't come to mean another process.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/posix/file_descriptor.h"
#include "daemon/posix/unix_socket.h"
#include "lib/base/result.h"
#include "lib/time/utc.h"

namespace noonfall::posix {

struct Command {
  std::string executable;
  std::vector<std::string> arguments;
  std::string home;                      // its HOME, made when it isn't there
  std::string stderr_file;               // appended to; empty: to ours
  std::vector<std::string> variables{};  // of its environment, "NAME=value", beside the few that all have
  std::string stdin_file{};              // empty: nothing to read
  int stdout_to = -1;                    // a descriptor; -1: nobody listens
};

/// Where whoever started us has the camera library look for its parts, as variables for a child: it gets
/// nothing else of ours.
[[nodiscard]] std::vector<std::string> library_variables();

/// A program and its arguments, separated by spaces; nothing else has a meaning. Empty where the first isn't
/// a whole path.
[[nodiscard]] std::vector<std::string> parse_argv(const std::string& text);

/// Our other programs lie beside this one.
[[nodiscard]] std::string program_beside(const char* name);

struct ProcessEnd {
  std::optional<int> exit;    // its exit code, when it ended by itself and was our child
  std::optional<int> signal;  // which killed it
};
/// "was killed by signal 9", "ended with exit code 3"; "has ended" when it wasn't our child.
[[nodiscard]] std::string to_text(const ProcessEnd& end);

class Process {
 public:
  /// No descriptor, signal mask or variable of ours reaches it but those of the command. With a stderr file
  /// of its own it has a session of its own, too: what ends us doesn't end it.
  [[nodiscard]] static Result<Process> start(const Command& command);
  /// One that lives already.
  [[nodiscard]] static std::optional<Process> find(int pid);

  [[nodiscard]] int pid() const { return pid_; }
  /// Readable once the process has ended.
  [[nodiscard]] int descriptor() const { return descriptor_.get(); }
  void signal(int number) const;
  /// Waits at most so long.
  [[nodiscard]] bool has_ended(Duration patience) const;
  /// After its end, and once.
  [[nodiscard]] ProcessEnd end() const;

 private:
  int pid_ = 0;
  FileDescriptor descriptor_;
};

/// Those that listen in a folder on sockets whose names begin and end so.
[[nodiscard]] std::vector<Process> listeners_in(const std::string& folder, std::string_view beginning,
                                                std::string_view ending, SocketKind kind);
/// Each is told to end, and killed when it hasn't within `patience`. Waits: not for an event loop.
void end_all(const std::vector<Process>& processes, Duration patience);

}  // namespace noonfall::posix
