#include "daemon/worker/worker_line.h"

#include <boost/asio/buffer.hpp>
#include <boost/asio/write.hpp>

#include <fmt/format.h>

#include "daemon/posix/file_descriptor.h"
#include "daemon/worker/codec.h"

namespace noonfall::worker {

using boost::system::error_code;

WorkerLine::WorkerLine(boost::asio::io_context& loop, posix::FileDescriptor socket, Events events)
    : socket_{loop, boost::asio::local::stream_protocol{}, socket.release()}, events_{std::move(events)} {
  socket_.non_blocking(true);
}

void WorkerLine::say(const ToWorker& words) {
  say_line(encode(words));
}

void WorkerLine::say_line(const std::string& line) {
  if (!open_) return;
  out_ += line;
  write();
}

void WorkerLine::write() {
  if (!writing_.empty() || out_.empty()) return;
  std::swap(writing_, out_);
  boost::asio::async_write(socket_, boost::asio::buffer(writing_),
                           [self = shared_from_this()](error_code error, std::size_t) {
                             self->writing_.clear();
                             // A broken line is noticed by reading: what came before the break counts.
                             if (!error && self->open_) self->write();
                           });
}

void WorkerLine::read() {
  socket_.async_read_some(boost::asio::buffer(block_),
                          [self = shared_from_this()](error_code error, std::size_t size) {
                            if (!self->open_) return;
                            if (error) return self->end();
                            self->heard(size);
                            if (self->open_) self->read();
                          });
}

void WorkerLine::heard(std::size_t size) {
  in_.add({block_.data(), size});
  while (open_) {
    const auto line = in_.next();
    if (!line) break;
    events_.line(*line);
  }
  if (!open_ || !in_.too_long()) return;
  const auto garbage = events_.garbage;
  close();
  garbage(fmt::format("a line is longer than {} bytes", longest_line));
}

void WorkerLine::read_rest() {
  while (open_) {
    error_code error;
    const auto size = socket_.read_some(boost::asio::buffer(block_), error);
    if (error) return;
    heard(size);
  }
}

void WorkerLine::end() {
  const auto ended = events_.ended;
  close();
  ended();
}

void WorkerLine::close() {
  open_ = false;
  error_code ignored;
  socket_.close(ignored);
}

}  // namespace noonfall::worker
