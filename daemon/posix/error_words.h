// What the system calls its errors.
#pragma once

#include <cerrno>
#include <string>

namespace noonfall::posix {

/// "No space left on device".
[[nodiscard]] std::string error_words(int error = errno);

}  // namespace noonfall::posix
