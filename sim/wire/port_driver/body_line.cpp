#include "sim/wire/port_driver/body_line.h"

#include <fcntl.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <system_error>
#include <utility>

namespace noonfall::wire {
namespace {

namespace fs = std::filesystem;

/// An address holds 107 bytes; a folder's path may be longer, and is opened instead.
struct OpenFolder {
  explicit OpenFolder(const fs::path& path) : descriptor{::open(path.c_str(), O_PATH | O_CLOEXEC)} {}
  ~OpenFolder() {
    if (descriptor >= 0) ::close(descriptor);
  }
  OpenFolder(const OpenFolder&) = delete;
  OpenFolder& operator=(const OpenFolder&) = delete;

  int descriptor;
};

int connected(const std::string& path) {
  const fs::path whole{path};
  const OpenFolder folder{whole.parent_path()};
  const auto short_path =
      "/proc/self/fd/" + std::to_string(folder.descriptor) + "/" + whole.filename().string();
  sockaddr_un address{};
  if (folder.descriptor < 0 || short_path.size() >= sizeof address.sun_path) return -1;
  address.sun_family = AF_UNIX;
  short_path.copy(address.sun_path, sizeof address.sun_path - 1);
  const int socket = ::socket(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0);
  if (socket < 0) return -1;
  if (::connect(socket, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0) return socket;
  ::close(socket);
  return -1;
}

}  // namespace

BodyLine::BodyLine(const std::string& socket_path) : socket_{connected(socket_path)} {}

BodyLine::BodyLine(BodyLine&& other) noexcept : socket_{std::exchange(other.socket_, -1)} {}

BodyLine::~BodyLine() {
  if (socket_ >= 0) ::close(socket_);
}

LineAnswer BodyLine::ask(const LineRequest& request) {
  const LineAnswer broken{port::no_device, {}};
  if (socket_ < 0) return broken;
  const auto message = encode(request);
  if (::send(socket_, message.data(), message.size(), MSG_NOSIGNAL) < 0) return broken;
  Bytes received(4 + most_in_datagram);
  ssize_t size = -1;
  do {
    size = ::recv(socket_, received.data(), received.size(), 0);
  } while (size < 0 && errno == EINTR);
  if (size <= 0) return broken;
  received.resize(static_cast<std::size_t>(size));
  return decode_line_answer(received).value_or(broken);
}

std::optional<BusPlace> BodyLine::place() {
  const auto answer = ask({LineRequest::Verb::who});
  return answer.result == port::ok ? decode_bus_place(answer.bytes) : std::nullopt;
}

std::vector<std::string> body_sockets() {
  // The host program sets it before it has threads, as it does IOLIBS.
  const char* folder = std::getenv("NOONFALL_BODIES");  // NOLINT(concurrency-mt-unsafe)
  if (folder == nullptr) return {};
  std::vector<std::string> paths;
  std::error_code error;
  for (const auto& entry : fs::directory_iterator{folder, error}) {
    if (entry.path().extension() == ".body") paths.push_back(entry.path().string());
  }
  std::ranges::sort(paths);
  return paths;
}

}  // namespace noonfall::wire
