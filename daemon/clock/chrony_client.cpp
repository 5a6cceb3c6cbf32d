#include "daemon/clock/chrony_client.h"

#include <span>

#include <boost/asio/buffer.hpp>

namespace noonfall::clock {

using boost::asio::ip::udp;
using boost::system::error_code;

ChronyClient::ChronyClient(boost::asio::io_context& io, Settings settings, OnAnswer on_answer,
                           OnSilence on_silence)
    : settings_{settings},
      on_answer_{std::move(on_answer)},
      on_silence_{std::move(on_silence)},
      socket_{io},
      deadline_{io},
      turn_{io},
      sequence_numbers_{std::random_device{}()} {}

void ChronyClient::start() {
  turn_.expires_after(settings_.every);
  turn_.async_wait([this](const error_code& failed) {
    if (!failed) start();
  });
  ask();
}

void ChronyClient::ask() {
  if (asking_) return;
  asking_ = true;
  sequence_ = static_cast<std::uint32_t>(sequence_numbers_());
  // A socket a question: what comes late to the last one finds nobody.
  error_code failed;
  socket_.open(udp::v4(), failed);
  if (!failed) socket_.non_blocking(true, failed);
  if (!failed) socket_.connect({boost::asio::ip::address_v4::loopback(), settings_.port}, failed);
  if (!failed) socket_.send(boost::asio::buffer(tracking_request(sequence_)), 0, failed);
  if (failed) {
    received(failed, 0);
    return;
  }
  wait_for_deadline();
  receive();
}

void ChronyClient::wait_for_deadline() {
  deadline_.expires_after(settings_.deadline);
  deadline_.async_wait([this, asked = sequence_](const error_code& failed) {
    if (failed || !asking_ || asked != sequence_) return;
    error_code ignored;
    socket_.cancel(ignored);
  });
}

void ChronyClient::receive() {
  socket_.async_receive(boost::asio::buffer(reply_),
                        [this](const error_code& failed, std::size_t size) { received(failed, size); });
}

void ChronyClient::received(const error_code& failed, std::size_t size) {
  if (failed) {
    finish();
    const bool refused = failed == boost::asio::error::connection_refused;
    on_silence_(refused ? "chronyd does not run" : "chronyd does not answer");
    return;
  }
  const auto reply = std::span{reply_}.first(size);
  if (!answers(reply, sequence_)) {
    receive();
    return;
  }
  finish();
  const auto tracking = decode_tracking(reply, sequence_);
  if (tracking) {
    on_answer_(*tracking);
  } else {
    on_silence_(tracking.error());
  }
}

void ChronyClient::finish() {
  asking_ = false;
  deadline_.cancel();
  error_code ignored;
  socket_.close(ignored);
}

}  // namespace noonfall::clock
