// The folder of one run: its shot log, settings, plan and sockets, held by one daemon at a time.
#pragma once

#include <cstddef>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/posix/file_calls.h"
#include "daemon/posix/file_descriptor.h"
#include "lib/base/result.h"

namespace noonfall::journal {

/// What lies in it.
inline constexpr const char* lock_name = "lock";
inline constexpr const char* shot_log_name = "shots.jsonl";
inline constexpr const char* run_settings_name = "run.json";
inline constexpr const char* plan_name = "plan.yaml";
inline constexpr const char* faults_name = "faults.yaml";
inline constexpr const char* bodies_name = "bodies";
inline constexpr const char* control_socket_name = "control.sock";

/// For what grows with its run.
inline constexpr auto any_size = std::numeric_limits<std::size_t>::max();

/// Ours while it lives. Every error has the code "run-folder" and is of the environment (exit 3).
class RunFolder {
 public:
  /// Makes the folder and its parents (0700) where there are none, and takes its lock. Refused: a folder that
  /// another daemon holds, that holds something but no run, or that has no run of ours yet and belongs to
  /// another user or lets others write.
  [[nodiscard]] static Result<RunFolder> open(const std::string& path,
                                              posix::FileCalls calls = posix::system_file_calls());

  [[nodiscard]] const std::string& path() const { return path_; }
  /// Whom a run that was begun here is exposed to, each with its remedy.
  [[nodiscard]] const Diagnostics& exposed() const { return exposed_; }
  [[nodiscard]] int directory() const { return directory_.get(); }

  /// Where path() no longer leads to the folder, makes one there and goes on in it: directory() keeps its
  /// number, and the folder that was stays locked wherever it is now. Refused: as open() does, and where
  /// another run lies.
  [[nodiscard]] Result<void> make_anew();

  /// After a crash or a power cut the file has either its old bytes or these. A name may lie in a folder of
  /// its own, which is made where there is none.
  [[nodiscard]] Result<void> write_atomically(const std::string& name, std::string_view bytes) const;
  /// Nothing where there is no such file. Refused unopened: a folder, pipe, socket or device of that name.
  [[nodiscard]] Result<std::optional<std::string>> read(const std::string& name,
                                                        std::size_t most_bytes = 64U << 20U) const;

 private:
  RunFolder() = default;
  [[nodiscard]] Result<void> take_lock();
  [[nodiscard]] Result<void> lock_again();
  [[nodiscard]] Result<void> refuse_other(const std::string& name) const;

  std::string path_;
  posix::FileCalls calls_;
  Diagnostics exposed_;
  posix::FileDescriptor directory_;
  posix::FileDescriptor lock_;  // closing it frees the folder
  std::vector<posix::FileDescriptor> locks_before_;
};

/// Whether a daemon holds the lock of the run folder at `path`; finding out doesn't disturb one that is about
/// to take it.
[[nodiscard]] bool is_held(const std::string& path);

}  // namespace noonfall::journal
