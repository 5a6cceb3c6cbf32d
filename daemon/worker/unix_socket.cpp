#include "daemon/worker/unix_socket.h"

#include <fcntl.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>

#include <cerrno>

#include <fmt/format.h>

#include "daemon/posix/error_words.h"
#include "daemon/posix/file_descriptor.h"
#include "daemon/posix/socket_path.h"

namespace noonfall::worker {
namespace {

posix::FileDescriptor open_folder(const std::string& folder) {
  return posix::FileDescriptor{::open(folder.c_str(), O_PATH | O_DIRECTORY | O_CLOEXEC)};
}

posix::FileDescriptor new_socket(SocketKind kind) {
  const int type = kind == SocketKind::stream ? SOCK_STREAM : SOCK_SEQPACKET;
  return posix::FileDescriptor{::socket(AF_UNIX, type | SOCK_NONBLOCK | SOCK_CLOEXEC, 0)};
}

const sockaddr* generic(const sockaddr_un& address) {
  return reinterpret_cast<const sockaddr*>(&address);
}

}  // namespace

std::string socket_name(std::int32_t rig) {
  return fmt::format("rig-{}.sock", rig);
}

Result<posix::FileDescriptor> listen_in(const std::string& folder, const std::string& name, SocketKind kind) {
  const auto refuse = [&](const std::string& why, const char* hint) {
    return fail(error_at({}, "socket", fmt::format("can't listen on {}/{}: {}", folder, name, why), hint));
  };
  const auto directory = open_folder(folder);
  if (!directory.is_open()) return refuse(posix::error_words(), "a folder that can be written to");
  if (connect_in(folder, name, kind).is_open()) {
    return refuse("another process listens there", "end that one first, or give another rig or folder");
  }
  auto socket = new_socket(kind);
  const auto address = posix::socket_address(directory.get(), name);
  ::unlinkat(directory.get(), name.c_str(), 0);
  const auto before = ::umask(0177);
  const bool bound = socket.is_open() && ::bind(socket.get(), generic(address), sizeof address) == 0;
  const auto why = posix::error_words();
  ::umask(before);
  if (!bound || ::listen(socket.get(), SOMAXCONN) != 0) return refuse(why, "a folder that can be written to");
  return socket;
}

posix::FileDescriptor connect_in(const std::string& folder, const std::string& name, SocketKind kind) {
  const auto directory = open_folder(folder);
  if (!directory.is_open()) return {};
  auto socket = new_socket(kind);
  const auto address = posix::socket_address(directory.get(), name);
  if (!socket.is_open() || ::connect(socket.get(), generic(address), sizeof address) != 0) return {};
  return socket;
}

int peer_pid(int socket) {
  ucred peer{};
  socklen_t size = sizeof peer;
  return ::getsockopt(socket, SOL_SOCKET, SO_PEERCRED, &peer, &size) == 0 ? peer.pid : 0;
}

}  // namespace noonfall::worker
