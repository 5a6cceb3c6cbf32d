// Unix sockets by name inside a folder, however long the folder's path is.
#pragma once

#include <cstdint>
#include <string>

#include "daemon/posix/file_descriptor.h"
#include "lib/base/result.h"

namespace noonfall::worker {

/// The name of the rig's socket: rigs may be called anything, their index can't clash.
[[nodiscard]] std::string socket_name(std::int32_t rig);

/// A stream of bytes, or datagrams in order.
enum class SocketKind { stream, datagrams };

/// A listening, non-blocking socket of mode 0600. What a dead process left is replaced; a living one is an
/// error.
[[nodiscard]] Result<posix::FileDescriptor> listen_in(const std::string& folder, const std::string& name,
                                                      SocketKind kind = SocketKind::stream);

/// A connected, non-blocking socket; closed when nobody listens.
[[nodiscard]] posix::FileDescriptor connect_in(const std::string& folder, const std::string& name,
                                               SocketKind kind = SocketKind::stream);

/// Of the process at the other end.
[[nodiscard]] int peer_pid(int socket);

}  // namespace noonfall::worker
