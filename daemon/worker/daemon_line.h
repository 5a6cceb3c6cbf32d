// One connection of a daemon, as the worker sees it: lines in, lines out, nothing that blocks.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "daemon/posix/file_descriptor.h"
#include "daemon/posix/line_splitter.h"
#include "daemon/worker/words.h"

namespace noonfall::worker {

class DaemonLine {
 public:
  explicit DaemonLine(posix::FileDescriptor socket) : socket_{std::move(socket)} {}

  /// The whole lines that have come.
  [[nodiscard]] std::vector<std::string> read();
  /// Why no further line will come, once that is so; empty words for an orderly end.
  [[nodiscard]] const std::optional<std::string>& ended() const { return ended_; }
  void end(std::string why) { ended_ = std::move(why); }

  void say(const FromWorker& words);
  void flush();
  [[nodiscard]] std::size_t unsaid() const { return out_.size(); }

  [[nodiscard]] int descriptor() const { return socket_.get(); }
  [[nodiscard]] bool greeted() const { return greeted_; }
  void greet() { greeted_ = true; }

 private:
  [[nodiscard]] bool read_some();

  posix::FileDescriptor socket_;
  posix::LineSplitter in_{longest_line};
  std::string out_;
  std::optional<std::string> ended_;
  bool greeted_ = false;
};

}  // namespace noonfall::worker
