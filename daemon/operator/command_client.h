// One connection to the command socket.
#pragma once

#include <memory>
#include <set>
#include <string>
#include <utility>

#include <boost/asio/local/stream_protocol.hpp>
#include <boost/asio/steady_timer.hpp>

#include "daemon/operator/command_socket.h"

namespace noonfall::control {

class CommandClient;

/// What the clients of one socket share; gone with the socket.
struct ClientHall {
  CommandSocket::Take take;
  SocketLimits limits;
  std::set<std::shared_ptr<CommandClient>> clients;
};

/// Lives as long as the hall lists it or a call of its own is under way.
class CommandClient : public std::enable_shared_from_this<CommandClient> {
 public:
  using Socket = boost::asio::local::stream_protocol::socket;

  CommandClient(Socket socket, const std::shared_ptr<ClientHall>& hall);
  void read();
  void cut();

 private:
  void take_line(std::size_t size);
  void answer(const Answer& answer);
  void refuse_length();
  void wait_at_most(Duration span);
  void leave();

  Socket socket_;
  boost::asio::steady_timer idle_;
  std::weak_ptr<ClientHall> hall_;
  std::string received_;
  std::string sending_;
  bool last_answer_ = false;
};

}  // namespace noonfall::control
