// What a terminal shows of a run, and what it looks like afterwards.
#include <csignal>

#include <doctest/doctest.h>

#include <cstring>

#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

#include "tests/program/daemon/field.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

/// A program on a terminal of its own, 100 columns by 30 rows. Killed with this.
class OnTerminal {
 public:
  explicit OnTerminal(std::vector<std::string> words) {
    std::vector<char*> argv;
    for (auto& word : words) argv.push_back(word.data());
    argv.push_back(nullptr);
    winsize size{};
    size.ws_row = 30;
    size.ws_col = 100;
    REQUIRE(::openpty(&ours_, &theirs_, nullptr, nullptr, &size) == 0);
    ::fcntl(ours_, F_SETFL, O_NONBLOCK);
    pid_ = ::fork();
    REQUIRE(pid_ >= 0);
    if (pid_ > 0) return;
    ::setsid();
    ::ioctl(theirs_, TIOCSCTTY, 0);
    for (const int standard : {0, 1, 2}) ::dup2(theirs_, standard);
    ::close(ours_);
    ::close(theirs_);
    ::execv(argv.front(), argv.data());
    ::_exit(127);
  }
  ~OnTerminal() {
    if (pid_ > 0) {
      ::kill(pid_, SIGKILL);
      ::waitpid(pid_, nullptr, 0);
    }
    ::close(ours_);
    ::close(theirs_);
  }
  OnTerminal(const OnTerminal&) = delete;
  OnTerminal& operator=(const OnTerminal&) = delete;

  [[nodiscard]] bool shows(const std::string& words) {
    return comes_true([&] {
      read();
      return shown_.find(words) != std::string::npos;
    });
  }
  void kill(int signal) const { ::kill(pid_, signal); }
  void end() const { kill(SIGTERM); }
  /// Bytes that whoever reads the terminal next would get.
  [[nodiscard]] int keys_left() const {
    int count = -1;
    REQUIRE(::ioctl(theirs_, FIONREAD, &count) == 0);
    return count;
  }
  void type(const std::string& keys) const { CHECK(::write(ours_, keys.data(), keys.size()) > 0); }
  [[nodiscard]] int exit() {
    int status = -1;
    REQUIRE(comes_true([&] {
      read();
      return ::waitpid(pid_, &status, WNOHANG) == pid_;
    }));
    pid_ = -1;
    read();
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }
  [[nodiscard]] termios settings() const {
    termios now{};
    REQUIRE(::tcgetattr(theirs_, &now) == 0);
    return now;
  }
  [[nodiscard]] const std::string& shown() const { return shown_; }

 private:
  void read() {
    char block[4096];
    for (;;) {
      const auto count = ::read(ours_, block, sizeof block);
      if (count <= 0) return;
      shown_.append(block, static_cast<std::size_t>(count));
    }
  }

  int ours_ = -1;
  int theirs_ = -1;
  pid_t pid_ = -1;
  std::string shown_;
};

bool same(const termios& a, const termios& b) {
  return a.c_iflag == b.c_iflag && a.c_oflag == b.c_oflag && a.c_cflag == b.c_cflag &&
         a.c_lflag == b.c_lflag && std::memcmp(a.c_cc, b.c_cc, sizeof a.c_cc) == 0;
}

}  // namespace

TEST_CASE("into a file or a pipe go plain lines, each with its instant") {
  Field field;
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("corona"));
  field.daemon.kill(SIGINT);
  CHECK(field.exit() == 0);
  const auto printed = field.printed();
  CHECK(printed.find('\x1b') == std::string::npos);
  CHECK(printed.find('\r') == std::string::npos);
  CHECK(printed.ends_with(" UTC stopped by the operator\nTo go on with it: noonfalld --state " +
                          field.folder() + "\n"));
  CHECK(printed.find(" UTC A field: SIMULATED: keep the camera filter on\n") != std::string::npos);
  CHECK(printed.find(" UTC long: corona begins\n") != std::string::npos);
}

TEST_CASE("a terminal shows the run as it stands, and Ctrl-C leaves it as it was") {
  const Field field;
  OnTerminal terminal{{NOONFALL_DAEMON, "--state", field.folder(), field.plan(field_plan), "--simulate",
                       "--move", "C2=+90s", "--speed", "40"}};
  const auto before = terminal.settings();
  CHECK(terminal.shows("SIMULATED: keep the camera filter on, 40 times as fast"));
  CHECK(terminal.shows("to C2"));
  CHECK(terminal.shows("corona, back to back"));
  CHECK(terminal.shows("ready    filter ON, assumed"));
  CHECK(terminal.shows("TOTALITY 0:"));
  CHECK(terminal.shows("/39 fired"));
  // ECMA-48: the lines are drawn over by moving up, nothing is switched to another screen or hidden.
  CHECK(terminal.shown().find("\x1b[J") != std::string::npos);
  CHECK(terminal.shown().find("\x1b[?") == std::string::npos);
  terminal.type("\x03");
  CHECK(terminal.exit() == 0);
  CHECK(terminal.shown().find("stopped by the operator") != std::string::npos);
  CHECK(terminal.shown().ends_with("\x1b[JTo go on with it: noonfalld --state " + field.folder() + "\r\n"));
  CHECK(same(before, terminal.settings()));
  CHECK(field.broken().empty());
}

TEST_CASE("on the view's terminal the diagnostic log scrolls above it, and repeats nothing of it") {
  const Field field;
  OnTerminal terminal{{NOONFALL_DAEMON, "--state", field.folder(), field.plan(field_plan), "--simulate",
                       "--move", "C2=+90s", "--speed", "40", "--log-level", "info"}};
  CHECK(terminal.shows("to C2"));
  CHECK(terminal.shows("Z noonfalld info: rig 1: process "));
  terminal.type("\x03");
  CHECK(terminal.exit() == 0);
  const auto& shown = terminal.shown();
  for (auto log = shown.find(" noonfalld info: "); log != std::string::npos;
       log = shown.find(" noonfalld info: ", log + 1)) {
    // It begins where the view did: first of all, at the left edge, moved up by ECMA-48's CUU, or below
    // another event.
    const auto instant = log - std::strlen("2020-12-14T16:00:00.000Z");
    const auto before = instant == 0 ? '\n' : shown.at(instant - 1);
    CHECK(std::string{"\r\nA"}.find(before) != std::string::npos);
    const auto words = shown.substr(log, shown.find('\r', log) - log);
    CHECK(words.find("corona") == std::string::npos);
    CHECK(words.find("stopped by") == std::string::npos);
  }
}

TEST_CASE("keys do what --tell does, each asked and answered on the screen") {
  const Field field;
  OnTerminal terminal{{NOONFALL_DAEMON, "--state", field.folder(), field.plan(field_plan), "--simulate",
                       "--move", "C2=+90s", "--speed", "20", "--page", "none"}};
  CHECK(terminal.shows("to C2"));
  terminal.type("2");
  CHECK(terminal.shows(">2 wide"));
  terminal.type("h");
  CHECK(terminal.shows("hold wide?  Enter does it, any other key leaves it"));
  terminal.type("\r");
  CHECK(terminal.shows("done: hold wide"));
  CHECK(terminal.shows("HELD"));
  terminal.type("f");
  CHECK(terminal.shows("filter wide on?"));
  terminal.type("\r");
  CHECK(terminal.shows("NOT done: the rig has no camera filter"));
  terminal.type("?");
  CHECK(terminal.shows("all else: noonfalld --tell help"));
  const auto commands = field.all<shotlog::CommandLine>();
  REQUIRE(commands.size() >= 1);
  CHECK(to_text(commands.front().command) == "hold wide");
  CHECK(commands.front().why.empty());
}

TEST_CASE("keys typed at the live view are not echoed and never reach the shell, however the program ends") {
  const Field field;
  OnTerminal terminal{{NOONFALL_DAEMON, "--state", field.folder(), field.plan(field_plan), "--simulate",
                       "--move", "C2=+90s", "--speed", "20"}};
  const auto before = terminal.settings();
  CHECK(terminal.shows("keys: "));
  CHECK(comes_true([&] { return !same(before, terminal.settings()); }));
  terminal.type("rm -rf pictures\n");
  CHECK(terminal.shows("that was too much at once to be keys: nothing was done"));
  CHECK(terminal.shown().find("pictures\r") == std::string::npos);
  CHECK(terminal.shown().find("rm -rf") == std::string::npos);
  int expected = 0;
  SUBCASE("by SIGTERM") {
    terminal.end();
  }
  SUBCASE("by SIGKILL, in the middle of a word") {
    terminal.kill(SIGSTOP);
    terminal.type("reboot\n");
    terminal.kill(SIGKILL);
    expected = -1;
  }
  CHECK(terminal.exit() == expected);
  CHECK(comes_true([&] { return same(before, terminal.settings()); }));
  CHECK(comes_true([&] { return terminal.keys_left() == 0; }));
}

TEST_CASE("NO_COLOR is heeded") {
  const Field field;
  OnTerminal terminal{{"/usr/bin/env", "NO_COLOR=1", NOONFALL_DAEMON, "--state", field.folder(),
                       field.plan(field_plan), "--simulate", "--move", "C2=+90s", "--speed", "40"}};
  CHECK(terminal.shows("SIMULATED: keep the camera filter on"));
  terminal.type("\x03");
  CHECK(terminal.exit() == 0);
  // ECMA-48 SGR ends in "m".
  CHECK(terminal.shown().find("\x1b[1m") == std::string::npos);
  CHECK(terminal.shown().find("\x1b[0m") == std::string::npos);
}
