#include "daemon/worker/lock_file.h"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <array>
#include <cerrno>

#include <fmt/format.h>

#include "daemon/posix/error_words.h"
#include "daemon/posix/file_descriptor.h"
#include "lib/base/number.h"

namespace noonfall::worker {
namespace {

std::string holder(int file) {
  std::array<char, 32> text{};
  const auto got = ::pread(file, text.data(), text.size(), 0);
  const auto pid = trim({text.data(), got > 0 ? static_cast<std::size_t>(got) : 0});
  return parse_integer(pid) ? fmt::format("process {}", pid) : "another process";
}

}  // namespace

Result<posix::FileDescriptor> hold_lock(const std::string& path) {
  posix::FileDescriptor file{::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600)};
  if (!file.is_open()) {
    return fail(error_at({}, "lock", fmt::format("can't open {}: {}", path, posix::error_words()),
                         "a file in a folder that can be written to"));
  }
  if (::flock(file.get(), LOCK_EX | LOCK_NB) != 0) {
    return fail(error_at({}, "lock",
                         errno == EWOULDBLOCK ? fmt::format("the body is served already: {} holds {}",
                                                            holder(file.get()), path)
                                              : fmt::format("can't lock {}: {}", path, posix::error_words()),
                         "one worker a body: end the other one first"));
  }
  const auto pid = fmt::format("{}\n", ::getpid());
  if (::ftruncate(file.get(), 0) != 0 ||
      ::pwrite(file.get(), pid.data(), pid.size(), 0) != static_cast<ssize_t>(pid.size())) {
    return fail(error_at({}, "lock", fmt::format("can't write {}: {}", path, posix::error_words()),
                         "a disk with room on it"));
  }
  return file;
}

}  // namespace noonfall::worker
