#include "daemon/operator/tell.h"

#include <poll.h>
#include <sys/socket.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <ostream>

#include <fmt/format.h>

#include "daemon/journal/run_folder.h"
#include "daemon/operator/command_socket.h"
#include "daemon/posix/error_words.h"
#include "daemon/posix/unix_socket.h"
#include "lib/time/duration_text.h"

namespace noonfall::control {
namespace {

using Deadline = std::chrono::steady_clock::time_point;
constexpr std::size_t longest_answer = std::size_t{1} << 20U;

Failure unheard(std::string message, std::string hint) {
  return fail(error_at({}, "tell", std::move(message), std::move(hint)));
}

/// Waits until the socket is; false at the deadline.
bool is_ready(int socket, short wanted, Deadline deadline) {
  pollfd polled{socket, wanted, 0};
  const auto left = std::chrono::ceil<std::chrono::milliseconds>(deadline - std::chrono::steady_clock::now());
  return ::poll(&polled, 1, static_cast<int>(std::max<std::int64_t>(left.count(), 0))) != 0;
}

/// 0 or an errno: EAGAIN at the deadline.
int send_line(int socket, const std::string& line, Deadline deadline) {
  for (std::size_t sent = 0; sent < line.size();) {
    if (!is_ready(socket, POLLOUT, deadline)) return EAGAIN;
    const auto count = ::send(socket, line.data() + sent, line.size() - sent, MSG_NOSIGNAL);
    if (count < 0 && errno != EINTR && errno != EAGAIN) return errno;
    if (count > 0) sent += static_cast<std::size_t>(count);
  }
  return 0;
}

int receive_line(int socket, std::string& line, Deadline deadline) {
  while (!line.ends_with('\n') && line.size() < longest_answer) {
    if (!is_ready(socket, POLLIN, deadline)) return EAGAIN;
    char block[4096];
    const auto count = ::recv(socket, block, sizeof block, 0);
    if (count == 0) return ECONNRESET;
    if (count < 0 && errno != EINTR && errno != EAGAIN) return errno;
    if (count > 0) line.append(block, static_cast<std::size_t>(count));
  }
  return 0;
}

Result<std::string> only_one(std::vector<std::string> runs) {
  if (runs.empty())
    return unheard("no noonfalld of yours runs here", "start one, or name its folder with --state DIR");
  if (runs.size() == 1) return std::move(runs.front());
  std::string all;
  for (const auto& run : runs) all += (all.empty() ? "" : ", ") + run;
  return unheard(fmt::format("{} of them run: {}", runs.size(), all),
                 "--state DIR with one of these folders");
}

}  // namespace

Result<Answer> tell(const std::string& folder, const std::string& words, Duration patience) {
  if (words.size() > longest_command || words.find('\n') != std::string::npos) {
    return Answer{false, fmt::format("a command is one line of at most {} bytes", longest_command)};
  }
  const auto deadline = std::chrono::steady_clock::now() + patience;
  const auto socket = posix::connect_in(folder, journal::control_socket_name);
  int error = socket ? 0 : errno;
  if (error == ENOENT || error == ENOTDIR || error == ECONNREFUSED) {
    return unheard("no noonfalld runs in " + folder, "start one, or name its folder with --state DIR");
  }
  std::string line;
  if (error == 0) error = send_line(socket.get(), words + "\n", deadline);
  if (error == 0 || error == EPIPE) error = receive_line(socket.get(), line, deadline);
  if (error == EAGAIN) {
    return unheard(fmt::format("noonfalld in {} didn't answer within {}", folder, to_text(patience)),
                   "the command may have been taken; its screen and shot log tell");
  }
  if (error != 0) {
    return unheard(fmt::format("can't talk to noonfalld in {}: {}", folder, posix::error_words(error)),
                   "the user that started it");
  }
  if (const auto answer = parse_answer(line)) return *answer;
  return unheard(fmt::format("what answers in {} isn't noonfalld", folder), "the folder of a run");
}

int tell_and_print(std::string folder, const std::string& words, std::ostream& out, std::ostream& err,
                   const LiveRuns& live_runs) {
  constexpr int carried_out = 0;
  constexpr int refused = 1;
  constexpr int environment = 3;
  if (folder.empty()) {
    auto found = only_one(live_runs());
    if (!found) {
      err << to_text(found.error());
      return environment;
    }
    folder = std::move(*found);
  }
  const auto answer = tell(folder, words);
  if (!answer) {
    err << to_text(answer.error());
    return environment;
  }
  (answer->ok ? out : err) << answer->words << (answer->words.ends_with('\n') ? "" : "\n");
  return answer->ok ? carried_out : refused;
}

}  // namespace noonfall::control
