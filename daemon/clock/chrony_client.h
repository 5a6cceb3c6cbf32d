// Asks the chronyd of this machine how its clock stands, every so often.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <random>
#include <string>

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/udp.hpp>
#include <boost/asio/steady_timer.hpp>

#include "daemon/clock/chrony_tracking.h"

namespace noonfall::clock {

/// Never blocks. Nobody may run the io_context any more once this is gone.
class ChronyClient {
 public:
  struct Settings {
    std::uint16_t port = 323;  // on 127.0.0.1
    std::chrono::milliseconds every{10'000};
    std::chrono::milliseconds deadline{1'000};
  };
  using OnAnswer = std::function<void(const ChronyTracking&)>;
  using OnSilence = std::function<void(std::string why)>;

  ChronyClient(boost::asio::io_context& io, Settings settings, OnAnswer on_answer, OnSilence on_silence);

  void start();
  /// Without waiting for the next turn, unless a question is out already.
  void ask();

 private:
  void wait_for_deadline();
  void receive();
  void received(const boost::system::error_code& failed, std::size_t size);
  void finish();

  Settings settings_;
  OnAnswer on_answer_;
  OnSilence on_silence_;
  boost::asio::ip::udp::socket socket_;
  boost::asio::steady_timer deadline_;
  boost::asio::steady_timer turn_;
  std::array<std::byte, 512> reply_{};  // longer ones are cut, and refused for their length
  std::minstd_rand sequence_numbers_;
  std::uint32_t sequence_ = 0;
  bool asking_ = false;
};

}  // namespace noonfall::clock
