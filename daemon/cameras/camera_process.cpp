#include "daemon/cameras/camera_process.h"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "daemon/posix/error_words.h"
#include "daemon/posix/file_descriptor.h"
#include "daemon/posix/line_splitter.h"
#include "daemon/posix/process.h"

namespace noonfall::cameras {
namespace {

constexpr std::size_t longest_line = 1U << 20U;

/// The child's home, with its stdin and its profile in it.
class Home {
 public:
  explicit Home(const CameraCommand& command) {
    auto pattern = (std::filesystem::temp_directory_path() / "noonfall-cameras-XXXXXX").string();
    if (::mkdtemp(pattern.data()) == nullptr) return;
    path_ = pattern;
    std::ofstream{input_file(), std::ios::binary} << command.input;
    std::ofstream{profile_file(), std::ios::binary} << command.profile;
  }
  ~Home() {
    std::error_code ignored;
    if (!path_.empty()) std::filesystem::remove_all(path_, ignored);
  }
  Home(const Home&) = delete;
  Home& operator=(const Home&) = delete;
  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] std::string input_file() const { return path_ + "/input"; }
  [[nodiscard]] std::string profile_file() const { return path_ + "/body.yaml"; }

 private:
  std::string path_;
};

Failure not_started(const CameraCommand& command, const std::string& why) {
  return fail(error_at({}, "camera-program", fmt::format("can't start {}: {}", command.executable, why),
                       "noonfall-camera beside noonfall"));
}

struct Child {
  posix::Process process;
  posix::FileDescriptor out;
};

Result<Child> start(const CameraCommand& command, const Home& home) {
  std::array<int, 2> ends{};
  if (::pipe2(ends.data(), O_CLOEXEC) != 0) return not_started(command, posix::error_words());
  posix::FileDescriptor ours{ends[0]};
  const posix::FileDescriptor theirs{ends[1]};
  auto arguments = command.arguments;
  if (!command.profile.empty()) arguments.insert(arguments.end(), {"--simulate", home.profile_file()});
  auto process = posix::Process::start({.executable = command.executable,
                                        .arguments = std::move(arguments),
                                        .home = home.path(),
                                        .stderr_file = {},
                                        .variables = posix::library_variables(),
                                        .stdin_file = home.input_file(),
                                        .stdout_to = theirs.get()});
  if (!process) return fail(process.error());
  return Child{std::move(*process), std::move(ours)};
}

/// The next piece; empty at the end; nothing when it doesn't come in time.
std::optional<std::string> read_some(int descriptor, std::chrono::milliseconds patience) {
  pollfd wanted{descriptor, POLLIN, 0};
  int ready = 0;
  do {
    ready = ::poll(&wanted, 1, static_cast<int>(patience.count()));
  } while (ready < 0 && errno == EINTR);
  if (ready <= 0) return std::nullopt;
  std::array<char, 4096> piece{};
  const auto got = ::read(descriptor, piece.data(), piece.size());
  return std::string(piece.data(), got > 0 ? static_cast<std::size_t>(got) : 0);
}

Result<void> hear_line(const std::string& line, const std::function<void(const Said&)>& heard) {
  const auto said = decode_said(line);
  if (!said) return fail(said.error());
  if (const auto* trouble = std::get_if<InspectionFailure>(&*said))
    return fail(error_at({}, trouble->code, trouble->words, trouble->hint));
  heard(*said);
  return {};
}

Result<void> listen(const Child& child, const CameraCommand& command,
                    const std::function<void(const Said&)>& heard) {
  posix::LineSplitter lines{longest_line};
  for (;;) {
    const auto piece = read_some(child.out.get(), command.patience);
    if (!piece) {
      return fail(
          error_at({}, "camera-hangs",
                   fmt::format("a body or its driver hasn't answered for {} s", command.patience.count()),
                   "the body's power switched off and on, its cable pulled and put back"));
    }
    if (piece->empty()) return {};
    lines.add(*piece);
    while (const auto line = lines.next()) {
      if (auto done = hear_line(*line, heard); !done) return done;
    }
    if (lines.too_long()) {
      return fail(error_at({}, "camera-program",
                           fmt::format("the camera process said a line of more than {} bytes", longest_line),
                           "noonfall-camera of the same version beside noonfall"));
    }
  }
}

/// How it ended, unless well.
Result<void> reap(const Child& child) {
  while (!child.process.has_ended(std::chrono::hours{1})) {
  }
  const auto end = child.process.end();
  if (end.exit == 0) return {};
  return fail(
      error_at({}, "camera-program", "the camera process " + to_text(end),
               "another try; a driver that crashes on this body is worth a report (docs/cameras.md)"));
}

}  // namespace

Result<void> run_camera(const CameraCommand& command, const std::function<void(const Said&)>& heard) {
  const Home home{command};
  if (home.path().empty()) return not_started(command, "no folder for temporary files");
  const auto child = start(command, home);
  if (!child) return fail(child.error());
  auto listened = listen(*child, command, heard);
  if (!listened) child->process.signal(listened.error().front().code == "camera-hangs" ? SIGKILL : SIGTERM);
  auto ended = reap(*child);
  return listened ? std::move(ended) : std::move(listened);
}

}  // namespace noonfall::cameras
