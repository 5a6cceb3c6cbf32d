#include "daemon/wired_body/network_server.h"

#include <arpa/inet.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/socket.h>

#include <utility>

#include <fmt/format.h>

#include "daemon/posix/boot_time.h"
#include "daemon/posix/error_words.h"
#include "daemon/wired_body/poll_until.h"

namespace noonfall::wired_body {
namespace {

constexpr Duration presence_check = std::chrono::milliseconds{20};

/// Small packets go out at once, and what comes is acknowledged at once: else each setting waits 40 ms for
/// the host's next packet. The kernel forgets the latter, so it is said before each read.
void hurry(int socket) {
  const int yes = 1;
  ::setsockopt(socket, IPPROTO_TCP, TCP_NODELAY, &yes, sizeof yes);
  ::setsockopt(socket, IPPROTO_TCP, TCP_QUICKACK, &yes, sizeof yes);
}

/// All of it, however slowly the host reads.
bool send_all(int socket, wire::ByteView bytes) {
  while (!bytes.empty()) {
    const auto sent = ::send(socket, bytes.data(), bytes.size(), MSG_NOSIGNAL);
    if (sent <= 0) return false;
    bytes = bytes.subspan(static_cast<std::size_t>(sent));
  }
  return true;
}

}  // namespace

Result<posix::FileDescriptor> listen_on_loopback(std::uint16_t port) {
  posix::FileDescriptor socket{::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)};
  const int yes = 1;
  ::setsockopt(socket.get(), SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(port);
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  const bool listens =
      ::bind(socket.get(), reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0 &&
      ::listen(socket.get(), SOMAXCONN) == 0;
  if (listens) return socket;
  return fail(error_at({}, "socket",
                       fmt::format("can't listen on 127.0.0.1:{}: {}", port, posix::error_words()),
                       "a port that nobody uses"));
}

NetworkServer::NetworkServer(posix::FileDescriptor listener, wire::PtpBody& body, ClockMapping clock,
                             std::function<void(const sim::RecordedFrame&)> on_picture)
    : listener_{std::move(listener)},
      body_{body},
      line_{body},
      clock_{clock},
      on_picture_{std::move(on_picture)} {}

Utc NetworkServer::now() const {
  return clock_.utc_at(posix::boot_now());
}

void NetworkServer::serve(int stop) {
  while (!stopping_) {
    drop_all_if_gone();
    tell_all();
    wait(stop);
  }
}

void NetworkServer::wait(int stop) {
  std::vector<int> watched{stop, listener_.get()};
  for (const auto& [id, client] : clients_) watched.push_back(id);
  const auto before = now();
  std::optional<Utc> wake = line_.next_at();
  if (!clients_.empty()) wake = std::min(wake.value_or(Utc::max()), before + presence_check);
  for (const int ready : poll_until(watched, before, wake)) {
    if (ready == stop) {
      stopping_ = true;
    } else if (ready == listener_.get()) {
      accept_client();
    } else {
      hear(ready);
    }
  }
}

void NetworkServer::accept_client() {
  posix::FileDescriptor client{::accept4(listener_.get(), nullptr, nullptr, SOCK_CLOEXEC)};
  const int id = client.get();
  if (client.is_open() && body_.presence(now()).there) clients_[id] = std::move(client);
}

void NetworkServer::hear(int client) {
  hurry(client);
  wire::Bytes bytes(64 * 1024);
  const auto size = ::recv(client, bytes.data(), bytes.size(), MSG_DONTWAIT);
  if (size <= 0) return drop(client);
  bytes.resize(static_cast<std::size_t>(size));
  if (!line_.take(client, bytes, now())) return drop(client);
  tell_all();
}

void NetworkServer::tell_all() {
  while (const auto due = line_.next(now())) {
    if (!send_all(due->connection, due->bytes)) drop(due->connection);
  }
  const auto& taken = body_.taken();
  while (pictures_ < taken.size()) on_picture_(taken[pictures_++]);
}

void NetworkServer::drop(int client) {
  line_.leave(client);
  clients_.erase(client);
}

void NetworkServer::drop_all_if_gone() {
  if (body_.presence(now()).there) return;
  while (!clients_.empty()) drop(clients_.begin()->first);
}

}  // namespace noonfall::wired_body
