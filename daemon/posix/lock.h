// Locks on files, with the holder's process number inside.
#pragma once

#include <cstdint>
#include <optional>

#include "daemon/posix/file_calls.h"

namespace noonfall::posix {

/// Ours while the file, open for reading and writing, stays open: of the open file, not of the process, so a
/// forked child that closes its copy frees nothing. 0; EAGAIN when somebody else holds it; or another errno.
[[nodiscard]] int take_lock(const FileCalls& calls, int file);
/// Whether anybody holds it; finding out disturbs nobody who is about to take it.
[[nodiscard]] bool is_locked(int file);
/// By the number inside.
[[nodiscard]] std::optional<std::int64_t> holder_of(int file);

}  // namespace noonfall::posix
