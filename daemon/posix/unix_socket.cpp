#include "daemon/posix/unix_socket.h"

#include <fcntl.h>
#include <sys/socket.h>
#include <sys/stat.h>

#include <fmt/format.h>

#include "daemon/posix/error_words.h"

namespace noonfall::posix {
namespace {

FileDescriptor open_folder(const std::string& folder) {
  return FileDescriptor{::open(folder.c_str(), O_PATH | O_DIRECTORY | O_CLOEXEC)};
}

FileDescriptor new_socket(SocketKind kind) {
  const int type = kind == SocketKind::stream ? SOCK_STREAM : SOCK_SEQPACKET;
  return FileDescriptor{::socket(AF_UNIX, type | SOCK_NONBLOCK | SOCK_CLOEXEC, 0)};
}

const sockaddr* generic(const sockaddr_un& address) {
  return reinterpret_cast<const sockaddr*>(&address);
}

}  // namespace

sockaddr_un socket_address(int folder, const std::string& name) {
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  fmt::format("/proc/self/fd/{}/{}", folder, name).copy(address.sun_path, sizeof address.sun_path - 1);
  return address;
}

Result<FileDescriptor> listen_in(const std::string& folder, const std::string& name, SocketKind kind) {
  const auto refuse = [&](const std::string& why, const char* hint) {
    return fail(error_at({}, "socket", fmt::format("can't listen on {}/{}: {}", folder, name, why), hint));
  };
  const auto directory = open_folder(folder);
  if (!directory.is_open()) return refuse(error_words(), "a folder that can be written to");
  if (connect_in(folder, name, kind).is_open()) {
    return refuse("another process listens there", "end that one first, or give another rig or folder");
  }
  auto socket = new_socket(kind);
  const auto address = socket_address(directory.get(), name);
  ::unlinkat(directory.get(), name.c_str(), 0);
  const auto before = ::umask(0177);
  const bool bound = socket.is_open() && ::bind(socket.get(), generic(address), sizeof address) == 0;
  const auto why = error_words();
  ::umask(before);
  if (!bound || ::listen(socket.get(), SOMAXCONN) != 0) return refuse(why, "a folder that can be written to");
  return socket;
}

FileDescriptor connect_in(const std::string& folder, const std::string& name, SocketKind kind) {
  const auto directory = open_folder(folder);
  if (!directory.is_open()) return {};
  auto socket = new_socket(kind);
  const auto address = socket_address(directory.get(), name);
  if (!socket.is_open() || ::connect(socket.get(), generic(address), sizeof address) != 0) return {};
  return socket;
}

int peer_pid(int socket) {
  ucred peer{};
  socklen_t size = sizeof peer;
  return ::getsockopt(socket, SOL_SOCKET, SO_PEERCRED, &peer, &size) == 0 ? peer.pid : 0;
}

}  // namespace noonfall::posix
