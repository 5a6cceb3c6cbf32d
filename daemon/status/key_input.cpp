#include "daemon/status/key_input.h"

#include <fcntl.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <string>

namespace noonfall::status {
namespace {

bool same(const termios& a, const termios& b) {
  return a.c_iflag == b.c_iflag && a.c_oflag == b.c_oflag && a.c_cflag == b.c_cflag &&
         a.c_lflag == b.c_lflag && std::memcmp(a.c_cc, b.c_cc, sizeof a.c_cc) == 0;
}

termios key_by_key(termios mode) {
  mode.c_lflag &= ~static_cast<tcflag_t>(ICANON | ECHO);
  mode.c_cc[VMIN] = 1;
  mode.c_cc[VTIME] = 0;
  // A slip of a finger in totality mustn't stop or kill the run.
  mode.c_cc[VSUSP] = _POSIX_VDISABLE;
  mode.c_cc[VQUIT] = _POSIX_VDISABLE;
  return mode;
}

/// TCSAFLUSH drops what was typed. A shell that has set its own mode since is left alone.
void put_back(int terminal, const termios& ours, const termios& before) {
  termios now{};
  if (::tcgetattr(terminal, &now) == 0 && same(now, ours)) ::tcsetattr(terminal, TCSAFLUSH, &before);
}

/// In a process of its own, with nothing but system calls.
[[noreturn]] void watch(int alive, int terminal, const termios& ours, const termios& before) {
  ::setsid();  // no signal of the terminal or to our group is for it
  ::prctl(PR_SET_NAME, "noonfall-keys");
  constexpr int above_all = 1000;
  const int end = ::fcntl(alive, F_DUPFD, above_all);
  const int keys = ::fcntl(terminal, F_DUPFD, end + 1);
  if (end < 0 || keys < 0) ::_exit(1);
  ::close_range(0, static_cast<unsigned>(end) - 1, 0);
  if (keys > end + 1) ::close_range(static_cast<unsigned>(end) + 1, static_cast<unsigned>(keys) - 1, 0);
  ::close_range(static_cast<unsigned>(keys) + 1, ~0U, 0);
  char byte = 0;
  while (::read(end, &byte, 1) < 0 && errno == EINTR) continue;
  put_back(keys, ours, before);
  ::_exit(0);
}

}  // namespace

std::optional<KeyInput> KeyInput::open(int fd) {
  termios before{};
  if (::isatty(fd) != 1 || ::tcgetpgrp(fd) != ::getpgrp() || ::tcgetattr(fd, &before) != 0)
    return std::nullopt;
  // Opened anew: a mode set on `fd` itself would be the shell's too.
  posix::FileDescriptor keys{
      ::open(("/proc/self/fd/" + std::to_string(fd)).c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC)};
  if (!keys) return std::nullopt;
  KeyInput input{std::move(keys), before};
  if (!input.begin()) return std::nullopt;
  return input;
}

bool KeyInput::begin() {
  const auto wanted = key_by_key(before_);
  if (::tcsetattr(keys_.get(), TCSANOW, &wanted) != 0) return false;
  termios ours{};
  ::tcgetattr(keys_.get(), &ours);
  begin_watch(ours);
  return true;
}

void KeyInput::begin_watch(const termios& ours) {
  int ends[2];
  if (::pipe2(ends, O_CLOEXEC) != 0) return;
  const posix::FileDescriptor reader{ends[0]};
  alive_ = posix::FileDescriptor{ends[1]};
  // Twice, so that nobody has to wait for it at its end.
  const auto child = ::fork();
  if (child < 0) return;
  if (child > 0) {
    while (::waitpid(child, nullptr, 0) < 0 && errno == EINTR) continue;
    return;
  }
  if (::fork() == 0) {
    ::close(alive_.get());
    watch(reader.get(), keys_.get(), ours, before_);
  }
  ::_exit(0);
}

KeyInput::~KeyInput() {
  if (!keys_) return;
  // In the background it isn't our terminal any more, and the system would stop whoever touches it.
  if (::tcgetpgrp(keys_.get()) == ::getpgrp()) put_back(keys_.get(), key_by_key(before_), before_);
}

}  // namespace noonfall::status
