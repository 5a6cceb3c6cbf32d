#include "daemon/posix/socket_path.h"

#include <sys/socket.h>

#include <fmt/format.h>

namespace noonfall::posix {

std::string socket_path(int folder, const std::string& name) {
  return fmt::format("/proc/self/fd/{}/{}", folder, name);
}

sockaddr_un socket_address(int folder, const std::string& name) {
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  socket_path(folder, name).copy(address.sun_path, sizeof address.sun_path - 1);
  return address;
}

}  // namespace noonfall::posix
