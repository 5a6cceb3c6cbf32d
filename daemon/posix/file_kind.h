// Whether a name stands for a file whose bytes are all there, or for something that may keep its reader
// waiting.
#pragma once

#include <string>
#include <string_view>

#include <fcntl.h>

namespace noonfall::posix {

/// "a folder", "a pipe", "a socket", "a device"; empty for a regular file, a link to one, and a name that
/// stands for nothing. Opens nothing. `path` goes from `directory`.
[[nodiscard]] std::string_view other_than_file(const std::string& path, int directory = AT_FDCWD);

}  // namespace noonfall::posix
