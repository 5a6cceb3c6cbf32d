#include "daemon/journal/file_calls.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <system_error>

namespace noonfall::journal {

FileCalls system_file_calls() {
  FileCalls calls;
  calls.open = [](int directory, const std::string& name, int flags) {
    return ::openat(directory, name.c_str(), flags | O_CLOEXEC | O_NOFOLLOW, 0600);
  };
  calls.write = [](int file, const char* bytes, std::size_t size) { return ::write(file, bytes, size); };
  calls.truncate = [](int file, off_t size) { return ::ftruncate(file, size); };
  calls.reserve = [](int file, off_t size) { return ::fallocate(file, FALLOC_FL_KEEP_SIZE, 0, size); };
  calls.sync_data = [](int file) { return ::fdatasync(file); };
  calls.sync = [](int file) { return ::fsync(file); };
  calls.rename = [](int directory, const std::string& from, const std::string& to) {
    return ::renameat(directory, from.c_str(), directory, to.c_str());
  };
  calls.link = [](int directory, const std::string& from, const std::string& to) {
    return ::linkat(directory, from.c_str(), directory, to.c_str(), 0);
  };
  return calls;
}

bool leads_to(const std::string& path, int file) {
  struct stat there {};
  struct stat ours {};
  if (::stat(path.c_str(), &there) != 0) return errno != ENOENT && errno != ENOTDIR;
  return ::fstat(file, &ours) != 0 || (there.st_dev == ours.st_dev && there.st_ino == ours.st_ino);
}

int write_all(const FileCalls& calls, int file, const char* bytes, std::size_t size, std::size_t& written) {
  std::size_t done = 0;
  while (done < size) {
    const auto count = calls.write(file, bytes + done, size - done);
    if (count < 0 && errno == EINTR) continue;
    if (count < 0) return errno;
    if (count == 0) return EIO;  // a regular file always takes something or says why not
    done += static_cast<std::size_t>(count);
    written += static_cast<std::size_t>(count);
  }
  return 0;
}

}  // namespace noonfall::journal
