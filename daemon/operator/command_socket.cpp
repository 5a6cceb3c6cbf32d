#include "daemon/operator/command_socket.h"

#include <unistd.h>

#include <set>

#include <fmt/format.h>
#include <boost/asio/buffer.hpp>
#include <boost/asio/local/stream_protocol.hpp>
#include <boost/asio/read_until.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/write.hpp>

#include "daemon/posix/unix_socket.h"

namespace noonfall::control {
namespace {

namespace asio = boost::asio;
using Protocol = asio::local::stream_protocol;
using Error = boost::system::error_code;

class CommandClient;

/// What the clients of one socket share; gone with the socket.
struct ClientHall {
  CommandSocket::Take take;
  SocketLimits limits;
  std::set<std::shared_ptr<CommandClient>> clients;
};

/// One connection. Lives as long as the hall lists it or a call of its own is under way.
class CommandClient : public std::enable_shared_from_this<CommandClient> {
 public:
  CommandClient(Protocol::socket socket, const std::shared_ptr<ClientHall>& hall)
      : socket_{std::move(socket)}, idle_{socket_.get_executor()}, hall_{hall} {}

  void read() {
    const auto hall = hall_.lock();
    if (!hall) return;
    wait_at_most(hall->limits.idle);
    asio::async_read_until(socket_, asio::dynamic_buffer(received_, longest_command + 1), '\n',
                           [self = shared_from_this()](const Error& error, std::size_t size) {
                             if (error == asio::error::not_found) return self->refuse_length();
                             if (error) return self->leave();  // half a line is no command
                             self->take_line(size);
                           });
  }

  void cut() {
    Error ignored;
    idle_.cancel(ignored);
    socket_.close(ignored);
  }

 private:
  void take_line(std::size_t size) {
    const auto hall = hall_.lock();
    if (!hall) return;
    auto words = received_.substr(0, size - 1);
    received_.erase(0, size);
    if (words.ends_with('\r')) words.pop_back();
    answer(hall->take(words));
  }

  void refuse_length() {
    last_answer_ = true;
    answer({false, fmt::format("a command has at most {} bytes", longest_command)});
  }

  void answer(const Answer& answer) {
    sending_ = to_line(answer);
    asio::async_write(socket_, asio::buffer(sending_),
                      [self = shared_from_this()](const Error& error, std::size_t) {
                        if (error || self->last_answer_) return self->leave();
                        self->read();
                      });
  }

  void wait_at_most(Duration span) {
    idle_.expires_after(span);
    idle_.async_wait([self = shared_from_this()](const Error& error) {
      if (!error) self->leave();
    });
  }

  void leave() {
    cut();
    if (const auto hall = hall_.lock()) hall->clients.erase(shared_from_this());
  }

  Protocol::socket socket_;
  asio::steady_timer idle_;
  std::weak_ptr<ClientHall> hall_;
  std::string received_;
  std::string sending_;
  bool last_answer_ = false;
};

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
