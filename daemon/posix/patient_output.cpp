#include "daemon/posix/patient_output.h"

#include <fcntl.h>
#include <poll.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>

#include <fmt/format.h>

#include "daemon/posix/file_descriptor.h"

namespace noonfall::posix {

PatientOutput::PatientOutput(int fd) : fd_{fd} {
  struct stat status {};
  if (::fstat(fd, &status) != 0) {
    gone_ = true;
    return;
  }
  is_socket_ = S_ISSOCK(status.st_mode);
  if (!S_ISCHR(status.st_mode) && !S_ISFIFO(status.st_mode)) return;  // a regular file never makes one wait
  const auto name = fmt::format("/proc/self/fd/{}", fd);
  own_ = FileDescriptor{::open(name.c_str(), O_WRONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC)};
  if (own_) fd_ = own_.get();
}

ssize_t PatientOutput::write_some(std::string_view bytes) const {
  if (is_socket_) return ::send(fd_, bytes.data(), bytes.size(), MSG_DONTWAIT | MSG_NOSIGNAL);
  // A terminal of another user can't be opened anew; a little at a time finds room where there is any.
  pollfd room{fd_, POLLOUT, 0};
  if (!own_ && ::poll(&room, 1, 0) == 0) {
    errno = EAGAIN;
    return -1;
  }
  constexpr std::size_t little = 512;
  if (!own_) bytes = bytes.substr(0, little);
  return ::write(fd_, bytes.data(), bytes.size());
}

void PatientOutput::write(std::string_view bytes) {
  waiting_ += bytes;
  (void)flush();
}

bool PatientOutput::flush() {
  while (!waiting_.empty() && !gone_) {
    const auto count = write_some(waiting_);
    if (count > 0) {
      waiting_.erase(0, static_cast<std::size_t>(count));
      continue;
    }
    if (count < 0 && errno == EINTR) continue;
    if (count < 0 && errno == EAGAIN) return false;
    gone_ = true;
  }
  if (gone_) waiting_.clear();
  return true;
}

}  // namespace noonfall::posix
