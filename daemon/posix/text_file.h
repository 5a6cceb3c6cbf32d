// Files at the edge: whole texts in, and out without ever overwriting silently.
#pragma once

#include <functional>
#include <string>
#include <string_view>

#include "lib/base/result.h"

namespace noonfall::posix {

/// The whole file, at most `most_bytes`. Errors ("can't read …: No such file or directory") name the file. A
/// named pipe, a socket or a device is refused unopened; /dev/stdin and /dev/fd/N are read to their end.
[[nodiscard]] Result<std::string> read_text_file(const std::string& path,
                                                 std::size_t most_bytes = 64U << 20U);

/// The same bit by bit, of any size, until `take` says it has enough.
[[nodiscard]] Result<void> read_in_pieces(const std::string& path,
                                          const std::function<bool(std::string_view)>& take);

/// Writes to a temporary file beside `path` and renames it there, so `path` is never half written. A file
/// that exists already is refused.
[[nodiscard]] Result<void> write_text_file(const std::string& path, std::string_view text);

}  // namespace noonfall::posix
