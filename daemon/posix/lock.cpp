#include "daemon/posix/lock.h"

#include <fcntl.h>
#include <unistd.h>

#include <array>
#include <cerrno>

#include <fmt/format.h>

#include "lib/base/number.h"

namespace noonfall::posix {
namespace {

struct flock whole_file(int type) {
  struct flock range {};
  range.l_type = static_cast<short>(type);
  range.l_whence = SEEK_SET;
  return range;
}

}  // namespace

int take_lock(const FileCalls& calls, int file) {
  auto range = whole_file(F_WRLCK);
  if (::fcntl(file, F_OFD_SETLK, &range) != 0) return errno == EACCES ? EAGAIN : errno;
  // Always of one size and over the old one, so that a restart on a disk that has become full succeeds.
  const auto line = fmt::format("{:<10}\n", ::getpid());
  std::size_t written = 0;
  return write_all(calls, file, line.data(), line.size(), written);
}

bool is_locked(int file) {
  auto range = whole_file(F_RDLCK);
  return ::fcntl(file, F_OFD_GETLK, &range) == 0 && range.l_type != F_UNLCK;
}

std::optional<std::int64_t> holder_of(int file) {
  std::array<char, 32> text{};
  const auto size = ::pread(file, text.data(), text.size(), 0);
  return parse_integer(trim({text.data(), size > 0 ? static_cast<std::size_t>(size) : 0}));
}

}  // namespace noonfall::posix
