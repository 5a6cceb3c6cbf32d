#include "tests/failing_sockets.h"

#include <sys/socket.h>

#include <atomic>
#include <cerrno>

namespace noonfall::tests {
namespace {

std::atomic<int> failing = 0;  // none
std::atomic<int> counted = 0;
thread_local bool is_the_tests = false;

bool fails(int error) {
  if (failing == 0 || is_the_tests || ++counted != failing) return false;
  errno = error;
  return true;
}

}  // namespace

FailingSocketCall::FailingSocketCall(int number) {
  is_the_tests = true;
  counted = 0;
  failing = number;
}

FailingSocketCall::~FailingSocketCall() {
  failing = 0;
}

int FailingSocketCall::calls() {
  return counted;
}

}  // namespace noonfall::tests

// The linker's names.
// NOLINTBEGIN(bugprone-reserved-identifier)
extern "C" {
int __real_accept(int socket, sockaddr* address, socklen_t* length);
int __wrap_accept(int socket, sockaddr* address, socklen_t* length) {
  return noonfall::tests::fails(EMFILE) ? -1 : __real_accept(socket, address, length);
}
ssize_t __real_recv(int socket, void* bytes, size_t size, int flags);
ssize_t __wrap_recv(int socket, void* bytes, size_t size, int flags) {
  return noonfall::tests::fails(ECONNRESET) ? -1 : __real_recv(socket, bytes, size, flags);
}
ssize_t __real_recvmsg(int socket, msghdr* message, int flags);
ssize_t __wrap_recvmsg(int socket, msghdr* message, int flags) {
  return noonfall::tests::fails(ECONNRESET) ? -1 : __real_recvmsg(socket, message, flags);
}
ssize_t __real_send(int socket, const void* bytes, size_t size, int flags);
ssize_t __wrap_send(int socket, const void* bytes, size_t size, int flags) {
  return noonfall::tests::fails(EPIPE) ? -1 : __real_send(socket, bytes, size, flags);
}
ssize_t __real_sendmsg(int socket, const msghdr* message, int flags);
ssize_t __wrap_sendmsg(int socket, const msghdr* message, int flags) {
  return noonfall::tests::fails(EPIPE) ? -1 : __real_sendmsg(socket, message, flags);
}
}
// NOLINTEND(bugprone-reserved-identifier)
