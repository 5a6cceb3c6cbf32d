#include "daemon/worker/lock_file.h"

#include <fcntl.h>

#include <cerrno>

#include <fmt/format.h>

#include "daemon/posix/error_words.h"
#include "daemon/posix/lock.h"

namespace noonfall::worker {
namespace {

Failure refuse(std::string message, std::string hint) {
  return fail(error_at({}, "lock", std::move(message), std::move(hint)));
}

}  // namespace

Result<posix::FileDescriptor> hold_lock(const std::string& path) {
  posix::FileDescriptor file{::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600)};
  const int error = file ? posix::take_lock(posix::system_file_calls(), file.get()) : errno;
  if (error == 0) return file;
  if (error != EAGAIN) {
    return refuse(fmt::format("can't lock {}: {}", path, posix::error_words(error)),
                  "a file in a folder that can be written to, on a disk with room");
  }
  const auto holder = posix::holder_of(file.get());
  return refuse(fmt::format("the body is served already: {} holds {}",
                            holder ? fmt::format("process {}", *holder) : "another process", path),
                "one worker a body: end the other one first");
}

}  // namespace noonfall::worker
