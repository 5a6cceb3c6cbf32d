// Preloaded into a program, so that its day is the eclipse's: the system clock shows another time by
// NOONFALL_TEST_SHIFT microseconds, and nobody on this machine vouches for it. While the file exists that
// NOONFALL_TEST_FULL_DISK names, the disk of the shot log takes nothing.
#include <cerrno>
#include <cstdint>
#include <cstdlib>
#include <ctime>
#include <string>
#include <string_view>

#include <netinet/in.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/timex.h>
#include <unistd.h>

namespace {

std::int64_t shift_us() {
  static const std::int64_t shift = [] {
    const char* text = std::getenv("NOONFALL_TEST_SHIFT");  // NOLINT(concurrency-mt-unsafe): nothing sets it
    return text == nullptr ? 0 : std::atoll(text);
  }();
  return shift;
}

bool is_shot_log(int file) {
  char path[4096];
  const auto name = "/proc/self/fd/" + std::to_string(file);
  const auto size = ::readlink(name.c_str(), path, sizeof path);
  return size > 0 && std::string_view{path, static_cast<std::size_t>(size)}.ends_with("/shots.jsonl");
}

bool is_full(int file) {
  const char* sign = std::getenv("NOONFALL_TEST_FULL_DISK");  // NOLINT(concurrency-mt-unsafe): likewise
  return sign != nullptr && ::access(sign, F_OK) == 0 && is_shot_log(file);
}

}  // namespace

extern "C" {

int clock_gettime(clockid_t clock, timespec* when) noexcept {
  const int failed = static_cast<int>(::syscall(SYS_clock_gettime, clock, when));
  if (failed != 0 || clock != CLOCK_REALTIME) return failed;
  const auto nanoseconds = when->tv_nsec + shift_us() % 1'000'000 * 1'000;
  when->tv_sec += shift_us() / 1'000'000 + nanoseconds / 1'000'000'000;
  when->tv_nsec = nanoseconds % 1'000'000'000;
  return 0;
}

int ntp_adjtime(timex* clock) noexcept {
  *clock = {};
  clock->status = STA_UNSYNC;
  return TIME_ERROR;
}

ssize_t write(int file, const void* bytes, size_t size) {
  if (is_full(file)) {
    errno = ENOSPC;
    return -1;
  }
  return ::syscall(SYS_write, file, bytes, size);
}

/// Neither chronyd nor gpsd is to be had.
int connect(int socket, const sockaddr* address, socklen_t size) {
  if (address->sa_family == AF_INET) {
    errno = ECONNREFUSED;
    return -1;
  }
  return static_cast<int>(::syscall(SYS_connect, socket, address, size));
}
}
