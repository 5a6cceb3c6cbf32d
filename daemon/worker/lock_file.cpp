#include "daemon/worker/lock_file.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>

#include <fmt/format.h>

#include "daemon/posix/error_words.h"
#include "daemon/posix/lock.h"

namespace noonfall::worker {
namespace {

Failure refuse(std::string message, std::string hint) {
  return fail(error_at({}, "lock", std::move(message), std::move(hint)));
}

std::string holder(int file) {
  const auto pid = posix::holder_of(file);
  return pid ? fmt::format("process {}", *pid) : "another process";
}

}  // namespace

Result<posix::FileDescriptor> hold_lock(const std::string& path) {
  posix::FileDescriptor file{::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600)};
  if (!file) {
    return refuse(fmt::format("can't open {}: {}", path, posix::error_words()),
                  "a file in a folder that can be written to");
  }
  if (const int error = posix::take_lock(file.get()); error != 0) {
    return refuse(error == EAGAIN
                      ? fmt::format("the body is served already: {} holds {}", holder(file.get()), path)
                      : fmt::format("can't lock {}: {}", path, posix::error_words(error)),
                  "one worker a body: end the other one first");
  }
  const auto line = posix::holder_line();
  if (::pwrite(file.get(), line.data(), line.size(), 0) != static_cast<ssize_t>(line.size())) {
    return refuse(fmt::format("can't write {}: {}", path, posix::error_words()), "a disk with room on it");
  }
  return file;
}

}  // namespace noonfall::worker
