// A chronyd and a gpsd that say what the test wants, on ports of their own and on the test's io_context.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <list>
#include <string>
#include <utility>
#include <vector>

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/ip/udp.hpp>

#include "tests/unit/clock/chrony_messages.h"

namespace noonfall::clock::tests {

/// Runs `io` until `happened`; false when it hasn't for a minute, which no healthy machine needs.
[[nodiscard]] bool runs_until(boost::asio::io_context& io, const std::function<bool()>& happened);

/// A port nobody listens on.
[[nodiscard]] std::uint16_t dead_port(boost::asio::io_context& io);

class FakeChronyd {
 public:
  using Bytes = std::vector<std::byte>;
  using Datagrams = std::vector<Bytes>;
  /// What goes back for question number `sequence`.
  using Reply = std::function<Datagrams(std::uint32_t sequence)>;

  FakeChronyd(boost::asio::io_context& io, Reply reply);

  [[nodiscard]] std::uint16_t port() const { return socket_.local_endpoint().port(); }
  [[nodiscard]] int asked() const { return asked_; }
  [[nodiscard]] std::size_t request_size() const { return request_size_; }
  /// Another datagram to whoever asked last.
  void send(const Bytes& bytes);

 private:
  void receive();

  Reply reply_;
  boost::asio::ip::udp::socket socket_;
  boost::asio::ip::udp::endpoint client_;
  std::array<std::byte, 2048> buffer_{};
  int asked_ = 0;
  std::size_t request_size_ = 0;
};

class FakeGpsd {
 public:
  explicit FakeGpsd(boost::asio::io_context& io);

  [[nodiscard]] std::uint16_t port() const { return acceptor_.local_endpoint().port(); }
  [[nodiscard]] int connections() const { return connections_; }
  [[nodiscard]] const std::string& requests() const { return requests_; }
  /// Sends in the background; `text` as it is, without a line end of ours.
  void send(std::string text);
  [[nodiscard]] bool all_sent() const { return to_send_.empty(); }
  void hang_up();

 private:
  void accept();
  void receive();
  void send_next();

  boost::asio::ip::tcp::acceptor acceptor_;
  boost::asio::ip::tcp::socket client_;
  std::array<char, 256> buffer_{};
  std::list<std::string> to_send_;
  std::string requests_;
  int connections_ = 0;
};

inline constexpr const char* introduction =
    "{\"class\":\"VERSION\",\"release\":\"3.22\",\"rev\":\"3.22\",\"proto_major\":3,\"proto_minor\":14}\r\n";

}  // namespace noonfall::clock::tests
