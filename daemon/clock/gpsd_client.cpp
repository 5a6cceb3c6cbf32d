#include "daemon/clock/gpsd_client.h"

#include <algorithm>
#include <string_view>
#include <variant>

#include <boost/asio/buffer.hpp>
#include <boost/asio/write.hpp>

namespace noonfall::clock {

using boost::system::error_code;

GpsdClient::GpsdClient(boost::asio::io_context& io, Settings settings, OnReport on_report, OnLost on_lost)
    : settings_{settings},
      on_report_{std::move(on_report)},
      on_lost_{std::move(on_lost)},
      socket_{io},
      retry_{io},
      next_wait_{settings.retry} {}

void GpsdClient::connect() {
  lines_ = {};
  socket_.async_connect({boost::asio::ip::address_v4::loopback(), settings_.port},
                        [this](const error_code& failed) {
                          if (failed) return lose(failed);
                          watch();
                        });
}

void GpsdClient::watch() {
  boost::asio::async_write(socket_, boost::asio::buffer(gpsd_watch_request),
                           [this](const error_code& failed, std::size_t) {
                             if (failed) return lose(failed);
                             read();
                           });
}

void GpsdClient::read() {
  socket_.async_read_some(boost::asio::buffer(buffer_), [this](const error_code& failed, std::size_t size) {
    if (failed) return lose(failed);
    take(size);
    read();
  });
}

void GpsdClient::take(std::size_t size) {
  for (const auto& line : lines_.feed(std::string_view{buffer_.data(), size})) {
    const auto report = parse_gpsd_report(line);
    if (std::holds_alternative<GpsdVersion>(report)) next_wait_ = settings_.retry;
    on_report_(report);
  }
}

void GpsdClient::lose(const error_code& failed) {
  constexpr std::chrono::milliseconds longest_wait{30'000};
  error_code ignored;
  socket_.close(ignored);
  on_lost_(failed == boost::asio::error::connection_refused ? "gpsd does not run" : "the line to gpsd broke");
  retry_.expires_after(next_wait_);
  next_wait_ = std::min(2 * next_wait_, longest_wait);
  retry_.async_wait([this](const error_code& stopped) {
    if (!stopped) connect();
  });
}

}  // namespace noonfall::clock
