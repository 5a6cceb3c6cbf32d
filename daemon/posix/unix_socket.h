// Unix sockets by name inside a folder, however long the folder's path is: an address holds 107 bytes.
#pragma once

#include <string>

#include <sys/un.h>

#include "daemon/posix/file_descriptor.h"
#include "lib/base/result.h"

namespace noonfall::posix {

/// A stream of bytes, or datagrams in order.
enum class SocketKind { stream, datagrams };

/// Through the opened folder, for as long as it is.
[[nodiscard]] sockaddr_un socket_address(int folder, const std::string& name);

/// A listening, non-blocking socket of mode 0600. What a dead process left is replaced; a living one is an
/// error.
[[nodiscard]] Result<FileDescriptor> listen_in(const std::string& folder, const std::string& name,
                                               SocketKind kind = SocketKind::stream);

/// A connected, non-blocking socket; closed when nobody listens, and errno says why.
[[nodiscard]] FileDescriptor connect_in(const std::string& folder, const std::string& name,
                                        SocketKind kind = SocketKind::stream);

/// Of the process at the other end.
[[nodiscard]] int peer_pid(int socket);

}  // namespace noonfall::posix
