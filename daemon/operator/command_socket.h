// The local socket on which an operator's commands come in: a line each, answered by a line.
#pragma once

#include <functional>
#include <memory>
#include <string>

#include <boost/asio/io_context.hpp>

#include "daemon/journal/run_folder.h"
#include "daemon/operator/answer.h"
#include "lib/base/result.h"
#include "lib/time/utc.h"

namespace noonfall::control {

struct SocketLimits {
  Duration idle = std::chrono::seconds{10};  // a client that sends no whole line for so long is cut
  std::size_t clients = 8;
};

/// control.sock in the run's folder, for its owner alone. Never blocks; a client can only ever harm its own
/// connection. For the thread of its io_context.
class CommandSocket {
 public:
  /// Called once a line, without the line's end: any bytes at all, at most `longest_command` of them.
  using Take = std::function<Answer(const std::string& words)>;

  /// A socket file left by a daemon that died is replaced: holding the folder proves that nobody uses it.
  [[nodiscard]] static Result<std::unique_ptr<CommandSocket>> open(boost::asio::io_context& io,
                                                                   const journal::RunFolder& folder,
                                                                   Take take, SocketLimits limits = {});
  virtual ~CommandSocket() = default;  // cuts every client and takes the file away

 protected:
  CommandSocket() = default;
};

}  // namespace noonfall::control
