#include "daemon/worker/daemon_line.h"

#include <sys/socket.h>

#include <array>
#include <cerrno>

#include <fmt/format.h>

#include "daemon/posix/error_words.h"
#include "daemon/worker/codec.h"

namespace noonfall::worker {

std::vector<std::string> DaemonLine::read() {
  std::vector<std::string> lines;
  for (int blocks = 0; blocks < 16 && read_some(); ++blocks) {
    while (auto line = in_.next()) lines.push_back(std::move(*line));
    if (in_.too_long()) {
      end(fmt::format("the line is longer than {} bytes", longest_line));
      break;
    }
  }
  return lines;
}

/// True when something came.
bool DaemonLine::read_some() {
  std::array<char, 1U << 16U> block;
  const auto got = ::recv(socket_.get(), block.data(), block.size(), MSG_DONTWAIT);
  if (got > 0) {
    in_.add({block.data(), static_cast<std::size_t>(got)});
    return true;
  }
  if (got < 0 && (errno == EAGAIN || errno == EINTR)) return false;
  if (got < 0) {
    end(posix::error_words());
  } else if (in_.half_line() > 0) {
    end(fmt::format("the line broke off after {} bytes", in_.half_line()));
  } else {
    end({});
  }
  return false;
}

void DaemonLine::say(const FromWorker& words) {
  out_ += encode(words);
  flush();
}

void DaemonLine::flush() {
  while (!out_.empty()) {
    const auto sent = ::send(socket_.get(), out_.data(), out_.size(), MSG_DONTWAIT | MSG_NOSIGNAL);
    if (sent > 0) {
      out_.erase(0, static_cast<std::size_t>(sent));
      continue;
    }
    // A broken line is noticed by reading: what came before the break counts.
    if (errno != EAGAIN && errno != EINTR) out_.clear();
    return;
  }
}

}  // namespace noonfall::worker
