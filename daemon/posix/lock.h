// Locks on files, with the holder's process number inside.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

namespace noonfall::posix {

/// Ours while the file, which must be open for reading and writing, stays open. The lock is of the open file,
/// not of the process, so a forked child that closes its copy frees nothing. 0; EAGAIN when somebody else
/// holds it; or another errno.
[[nodiscard]] int take_lock(int file);
/// Whether anybody holds it; finding out disturbs nobody who is about to take it.
[[nodiscard]] bool is_locked(int file);

/// What the holder writes over the file's beginning: of one size always, so that a disk that has become full
/// still takes it.
[[nodiscard]] std::string holder_line();
[[nodiscard]] std::optional<std::int64_t> holder_of(int file);

}  // namespace noonfall::posix
