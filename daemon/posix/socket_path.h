// The address of a Unix socket in a folder: an address holds 107 bytes, a folder's path may be longer.
#pragma once

#include <string>

#include <sys/un.h>

namespace noonfall::posix {

/// Through the opened folder, for as long as it is.
[[nodiscard]] std::string socket_path(int folder, const std::string& name);
[[nodiscard]] sockaddr_un socket_address(int folder, const std::string& name);

}  // namespace noonfall::posix
