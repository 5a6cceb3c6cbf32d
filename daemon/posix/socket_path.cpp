#include "daemon/posix/socket_path.h"

#include <fmt/format.h>

namespace noonfall::posix {

std::string socket_path(int folder, const std::string& name) {
  return fmt::format("/proc/self/fd/{}/{}", folder, name);
}

}  // namespace noonfall::posix
