#include "daemon/posix/file_kind.h"

#include <sys/stat.h>

namespace noonfall::posix {

std::string_view other_than_file(const std::string& path, int directory) {
  struct stat status {};
  if (::fstatat(directory, path.c_str(), &status, 0) != 0 || S_ISREG(status.st_mode)) return {};
  if (S_ISDIR(status.st_mode)) return "a folder";
  if (S_ISFIFO(status.st_mode)) return "a pipe";
  if (S_ISSOCK(status.st_mode)) return "a socket";
  return "a device";
}

}  // namespace noonfall::posix
