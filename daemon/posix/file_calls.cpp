#include "daemon/posix/file_calls.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>

namespace noonfall::posix {

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

std::string_view other_than_file(const std::string& path, int directory) {
  struct stat status {};
  if (::fstatat(directory, path.c_str(), &status, 0) != 0 || S_ISREG(status.st_mode)) return {};
  if (S_ISDIR(status.st_mode)) return "a folder";
  if (S_ISFIFO(status.st_mode)) return "a pipe";
  if (S_ISSOCK(status.st_mode)) return "a socket";
  return "a device";
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

FileDescriptor write_whole(const FileCalls& calls, int directory, const std::string& name,
                           std::string_view bytes, const std::function<int(int file)>& finish) {
  const auto part = name + ".part";
  ::unlinkat(directory, part.c_str(), 0);  // of a process that died, or whatever else
  FileDescriptor file{calls.open(directory, part, O_WRONLY | O_APPEND | O_CREAT | O_EXCL)};
  if (!file) return {};
  std::size_t written = 0;
  int error = write_all(calls, file.get(), bytes.data(), bytes.size(), written);
  if (error == 0 && finish) error = finish(file.get());
  if (error == 0 && calls.rename(directory, part, name) != 0) error = errno;
  if (error == 0) return file;
  ::unlinkat(directory, part.c_str(), 0);
  file = {};
  errno = error;
  return {};
}

int read_pieces(int file, const std::function<bool(std::string_view)>& take) {
  char block[1 << 16];
  while (true) {
    const auto count = ::read(file, block, sizeof block);
    if (count < 0 && errno == EINTR) continue;
    if (count < 0) return errno;
    if (count == 0 || !take({block, static_cast<std::size_t>(count)})) return 0;
  }
}

}  // namespace noonfall::posix
