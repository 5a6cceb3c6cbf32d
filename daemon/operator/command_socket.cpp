#include "daemon/operator/command_socket.h"

#include <unistd.h>

#include <fmt/format.h>
#include <boost/asio/buffer.hpp>

#include "daemon/operator/command_client.h"
#include "daemon/posix/unix_socket.h"

namespace noonfall::control {
namespace {

namespace asio = boost::asio;
using Protocol = asio::local::stream_protocol;
using Error = boost::system::error_code;

class ListeningSocket final : public CommandSocket {
 public:
  ListeningSocket(asio::io_context& io, const journal::RunFolder& folder, Take take, SocketLimits limits)
      : folder_{folder}, acceptor_{io}, retry_{io}, hall_{std::make_shared<ClientHall>()} {
    hall_->take = std::move(take);
    hall_->limits = limits;
  }

  ~ListeningSocket() override {
    for (const auto& client : hall_->clients) client->cut();
    if (acceptor_.is_open()) remove_file();
  }

  Result<void> listen() {
    auto socket = posix::listen_in(folder_.path(), journal::control_socket_name);
    if (!socket) return fail(std::move(socket.error()));
    Error error;
    acceptor_.assign(Protocol{}, socket->release(), error);
    if (error) return fail(error_at({}, "socket", "commands can't be waited for: " + error.message()));
    accept();
    return {};
  }

 private:
  void remove_file() { ::unlinkat(folder_.directory(), journal::control_socket_name, 0); }

  void accept() {
    acceptor_.async_accept([this](const Error& error, Protocol::socket socket) {
      if (error == asio::error::operation_aborted) return;  // `this` may be gone
      if (error) return accept_later();
      welcome(std::move(socket));
      accept();
    });
  }

  /// The system has no descriptor left for a client; asking again at once would only spin.
  void accept_later() {
    retry_.expires_after(std::chrono::seconds{1});
    retry_.async_wait([this](const Error& error) {
      if (!error) accept();
    });
  }

  void welcome(Protocol::socket socket) {
    if (hall_->clients.size() >= hall_->limits.clients) return turn_away(socket);
    const auto client = std::make_shared<CommandClient>(std::move(socket), hall_);
    hall_->clients.insert(client);
    client->read();
  }

  void turn_away(Protocol::socket& socket) const {
    const auto line = to_line(
        {false, fmt::format("{} others are connected; try again in a moment", hall_->limits.clients)});
    Error ignored;
    socket.non_blocking(true, ignored);
    socket.write_some(asio::buffer(line), ignored);
  }

  const journal::RunFolder& folder_;
  Protocol::acceptor acceptor_;
  asio::steady_timer retry_;
  std::shared_ptr<ClientHall> hall_;
};

}  // namespace

Result<std::unique_ptr<CommandSocket>> CommandSocket::open(asio::io_context& io,
                                                           const journal::RunFolder& folder, Take take,
                                                           SocketLimits limits) {
  auto socket = std::make_unique<ListeningSocket>(io, folder, std::move(take), limits);
  if (auto listens = socket->listen(); !listens) return fail(std::move(listens.error()));
  return std::unique_ptr<CommandSocket>{std::move(socket)};
}

}  // namespace noonfall::control
