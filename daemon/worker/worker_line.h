// The daemon's end of one connection to a worker: whole lines in, words out, on the event loop.
#pragma once

#include <array>
#include <functional>
#include <memory>
#include <string>
#include <utility>

#include <boost/asio/io_context.hpp>
#include <boost/asio/local/stream_protocol.hpp>

#include "daemon/posix/file_descriptor.h"
#include "daemon/posix/line_splitter.h"
#include "daemon/worker/words.h"

namespace noonfall::worker {

/// Never blocks. After close() none of the callbacks is called any more.
class WorkerLine : public std::enable_shared_from_this<WorkerLine> {
 public:
  struct Events {
    std::function<void(const std::string& line)> line;
    std::function<void()> ended;                          // the other end is closed
    std::function<void(const std::string& why)> garbage;  // what comes is no line of ours
  };

  WorkerLine(boost::asio::io_context& loop, posix::FileDescriptor socket, Events events);

  void begin() { read(); }
  void say(const ToWorker& words);
  /// Words encoded already.
  void say_line(const std::string& line);
  /// What has come already, at once: for when the other process is known to be gone.
  void read_rest();
  void close();

 private:
  void read();
  void heard(std::size_t size);
  void write();
  void end();

  boost::asio::local::stream_protocol::socket socket_;
  Events events_;
  posix::LineSplitter in_{longest_line};
  std::array<char, 1U << 16U> block_{};
  std::string out_;
  std::string writing_;  // on its way; empty when nothing is
  bool open_ = true;
};

}  // namespace noonfall::worker
