// What the system calls its errors.
#pragma once

#include <cerrno>
#include <string>
#include <system_error>

namespace noonfall::posix {

/// "No space left on device".
[[nodiscard]] inline std::string error_words(int error = errno) {
  return std::generic_category().message(error);
}

}  // namespace noonfall::posix
