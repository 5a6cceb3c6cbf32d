#include "daemon/operator/command_client.h"

#include <fmt/format.h>
#include <boost/asio/buffer.hpp>
#include <boost/asio/read_until.hpp>
#include <boost/asio/write.hpp>

namespace noonfall::control {

namespace asio = boost::asio;
using Error = boost::system::error_code;

CommandClient::CommandClient(Socket socket, const std::shared_ptr<ClientHall>& hall)
    : socket_{std::move(socket)}, idle_{socket_.get_executor()}, hall_{hall} {}

void CommandClient::read() {
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

void CommandClient::take_line(std::size_t size) {
  const auto hall = hall_.lock();
  if (!hall) return;
  auto words = received_.substr(0, size - 1);
  received_.erase(0, size);
  if (words.ends_with('\r')) words.pop_back();
  answer(hall->take(words));
}

void CommandClient::refuse_length() {
  last_answer_ = true;
  answer({false, fmt::format("a command has at most {} bytes", longest_command)});
}

void CommandClient::answer(const Answer& answer) {
  sending_ = to_line(answer);
  asio::async_write(socket_, asio::buffer(sending_),
                    [self = shared_from_this()](const Error& error, std::size_t) {
                      if (error || self->last_answer_) return self->leave();
                      self->read();
                    });
}

void CommandClient::wait_at_most(Duration span) {
  idle_.expires_after(span);
  idle_.async_wait([self = shared_from_this()](const Error& error) {
    if (!error) self->leave();
  });
}

void CommandClient::leave() {
  cut();
  if (const auto hall = hall_.lock()) hall->clients.erase(shared_from_this());
}

void CommandClient::cut() {
  Error ignored;
  idle_.cancel(ignored);
  socket_.close(ignored);
}

}  // namespace noonfall::control
