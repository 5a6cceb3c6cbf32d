#include "tests/program/clock/fakes.h"

#include <chrono>

#include <boost/asio/buffer.hpp>
#include <boost/asio/write.hpp>

namespace noonfall::clock::tests {

using boost::asio::ip::tcp;
using boost::asio::ip::udp;
using boost::system::error_code;
const auto any_port_of_loopback = [](auto protocol) {
  return typename decltype(protocol)::endpoint{boost::asio::ip::address_v4::loopback(), 0};
};

bool runs_until(boost::asio::io_context& io, const std::function<bool()>& happened) {
  const auto give_up = std::chrono::steady_clock::now() + std::chrono::minutes{1};
  while (!happened()) {
    if (std::chrono::steady_clock::now() > give_up) return false;
    io.restart();
    io.run_one_for(std::chrono::milliseconds{100});
  }
  return true;
}

std::uint16_t dead_port(boost::asio::io_context& io) {
  const udp::socket taken{io, any_port_of_loopback(udp::v4())};
  return taken.local_endpoint().port();
}

FakeChronyd::FakeChronyd(boost::asio::io_context& io, Reply reply)
    : reply_{std::move(reply)}, socket_{io, any_port_of_loopback(udp::v4())} {
  receive();
}

void FakeChronyd::receive() {
  socket_.async_receive_from(boost::asio::buffer(buffer_), client_,
                             [this](const error_code& failed, std::size_t size) {
                               if (failed) return;
                               ++asked_;
                               request_size_ = size;
                               std::uint32_t sequence = 0;
                               for (std::size_t i = 8; i < 12; ++i)
                                 sequence = (sequence << 8U) | std::to_integer<std::uint32_t>(buffer_[i]);
                               for (const auto& bytes : reply_(sequence)) send(bytes);
                               receive();
                             });
}

void FakeChronyd::send(const Bytes& bytes) {
  error_code ignored;
  socket_.send_to(boost::asio::buffer(bytes), client_, 0, ignored);
}

FakeGpsd::FakeGpsd(boost::asio::io_context& io)
    : acceptor_{io, any_port_of_loopback(tcp::v4())}, client_{io} {
  accept();
}

void FakeGpsd::accept() {
  acceptor_.async_accept([this](const error_code& failed, tcp::socket client) {
    if (failed) return;
    client_ = std::move(client);
    ++connections_;
    receive();
    accept();
  });
}

void FakeGpsd::receive() {
  client_.async_read_some(boost::asio::buffer(buffer_), [this](const error_code& failed, std::size_t size) {
    if (failed) return;
    requests_.append(buffer_.data(), size);
    receive();
  });
}

void FakeGpsd::send(std::string text) {
  to_send_.push_back(std::move(text));
  if (to_send_.size() == 1) send_next();
}

void FakeGpsd::send_next() {
  boost::asio::async_write(client_, boost::asio::buffer(to_send_.front()),
                           [this](const error_code& failed, std::size_t) {
                             to_send_.pop_front();
                             if (!failed && !to_send_.empty()) send_next();
                           });
}

void FakeGpsd::hang_up() {
  error_code ignored;
  client_.close(ignored);
}

}  // namespace noonfall::clock::tests
