// Keeps a line to the gpsd of this machine and hands on what it reports.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <string>
#include <utility>

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/steady_timer.hpp>

#include "daemon/clock/gpsd_reports.h"
#include "daemon/clock/line_assembler.h"

namespace noonfall::clock {

/// Never blocks. A line that breaks is tried again after `retry`, then after twice that, up to 30 s. Nobody
/// may run the io_context any more once this is gone.
class GpsdClient {
 public:
  struct Settings {
    std::uint16_t port = 2947;  // on 127.0.0.1
    std::chrono::milliseconds retry{1'000};
  };
  using OnReport = std::function<void(const GpsdReport&)>;
  using OnLost = std::function<void(std::string why)>;

  GpsdClient(boost::asio::io_context& io, Settings settings, OnReport on_report, OnLost on_lost);

  void start() { connect(); }

 private:
  void connect();
  void watch();
  void read();
  void take(std::size_t size);
  void lose(const boost::system::error_code& failed);

  Settings settings_;
  OnReport on_report_;
  OnLost on_lost_;
  boost::asio::ip::tcp::socket socket_;
  boost::asio::steady_timer retry_;
  std::chrono::milliseconds next_wait_;
  LineAssembler lines_;
  std::array<char, LineAssembler::most_at_once> buffer_{};
};

}  // namespace noonfall::clock
