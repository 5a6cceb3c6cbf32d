// Keeps a line to the gpsd of this machine and hands on what it reports.
#pragma once

#include <cstdint>
#include <functional>
#include <string>

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/steady_timer.hpp>

#include "daemon/clock/gpsd_reports.h"

namespace noonfall::clock {

/// Never blocks, which libgps's own connecting may: it only reads the lines. A line that breaks, or brings
/// 16 KiB without an end, is made anew after `retry`, then after twice that, up to 30 s. SIGPIPE must be
/// ignored. Nobody may run the io_context any more once this is gone.
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
  void read();
  void take(std::string line);
  void lose(std::string why);

  Settings settings_;
  OnReport on_report_;
  OnLost on_lost_;
  boost::asio::ip::tcp::socket socket_;
  boost::asio::steady_timer retry_;
  std::chrono::milliseconds next_wait_;
  std::string received_;
};

}  // namespace noonfall::clock
