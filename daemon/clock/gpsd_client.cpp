#include "daemon/clock/gpsd_client.h"

#include <algorithm>
#include <utility>
#include <variant>

#include <boost/asio/buffer.hpp>
#include <boost/asio/read_until.hpp>

namespace noonfall::clock {

using boost::system::error_code;

namespace {

constexpr const char* broken = "the line to gpsd broke";

}  // namespace

GpsdClient::GpsdClient(boost::asio::io_context& io, Settings settings, OnReport on_report, OnLost on_lost)
    : settings_{settings},
      on_report_{std::move(on_report)},
      on_lost_{std::move(on_lost)},
      socket_{io},
      retry_{io},
      next_wait_{settings.retry} {}

void GpsdClient::connect() {
  received_.clear();
  socket_.async_connect({boost::asio::ip::address_v4::loopback(), settings_.port},
                        [this](const error_code& failed) {
                          if (failed == boost::asio::error::connection_refused)
                            return lose("gpsd does not run");
                          if (failed || !ask_for_reports(socket_.native_handle())) return lose(broken);
                          read();
                        });
}

void GpsdClient::read() {
  constexpr std::size_t longest_line = 16 * 1024;
  boost::asio::async_read_until(socket_, boost::asio::dynamic_buffer(received_, longest_line), '\n',
                                [this](const error_code& failed, std::size_t size) {
                                  if (failed) return lose(broken);
                                  take(received_.substr(0, size));
                                  received_.erase(0, size);
                                  read();
                                });
}

void GpsdClient::take(std::string line) {
  const auto report = read_gpsd_report(std::move(line));
  if (!report) return;
  if (std::holds_alternative<GpsdVersion>(*report)) next_wait_ = settings_.retry;
  on_report_(*report);
}

void GpsdClient::lose(std::string why) {
  constexpr std::chrono::milliseconds longest_wait{30'000};
  error_code ignored;
  socket_.close(ignored);
  on_lost_(std::move(why));
  retry_.expires_after(next_wait_);
  next_wait_ = std::min(2 * next_wait_, longest_wait);
  retry_.async_wait([this](const error_code& stopped) {
    if (!stopped) connect();
  });
}

}  // namespace noonfall::clock
