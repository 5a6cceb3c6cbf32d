#include <fcntl.h>
#include <sys/ioctl.h>
#include <sys/socket.h>
#include <termios.h>
#include <unistd.h>

#include <csignal>
#include <cstdlib>

#include <doctest/doctest.h>

#include "daemon/posix/file_descriptor.h"
#include "daemon/status/status_view.h"

using namespace noonfall;
using namespace noonfall::status;

namespace {

using posix::FileDescriptor;

/// A terminal and what stands at its other end.
struct Pty {
  posix::FileDescriptor person{::posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC)};
  posix::FileDescriptor program;

  explicit Pty(unsigned short columns, unsigned short rows) {
    REQUIRE(::grantpt(person.get()) == 0);
    REQUIRE(::unlockpt(person.get()) == 0);
    char name[64];
    REQUIRE(::ptsname_r(person.get(), name, sizeof name) == 0);
    program = posix::FileDescriptor{::open(name, O_RDWR | O_NOCTTY | O_CLOEXEC)};
    REQUIRE(program);
    termios mode{};
    REQUIRE(::tcgetattr(program.get(), &mode) == 0);
    mode.c_oflag &= ~static_cast<tcflag_t>(OPOST);
    mode.c_lflag &= ~static_cast<tcflag_t>(ECHO | ECHOCTL);
    REQUIRE(::tcsetattr(program.get(), TCSANOW, &mode) == 0);
    resize(columns, rows);
    ::fcntl(person.get(), F_SETFL, O_NONBLOCK);
  }
  void resize(unsigned short columns, unsigned short rows) const {
    const winsize size{rows, columns, 0, 0};
    REQUIRE(::ioctl(person.get(), TIOCSWINSZ, &size) == 0);
  }
  void type(char key) const { REQUIRE(::write(person.get(), &key, 1) == 1); }
  /// Everything shown since the last call.
  [[nodiscard]] std::string shown() const {
    std::string all;
    char block[4096];
    while (true) {
      const auto count = ::read(person.get(), block, sizeof block);
      if (count <= 0) return all;
      all.append(block, static_cast<std::size_t>(count));
    }
  }
};

StatusFacts facts() {
  StatusFacts facts;
  facts.now = Utc{std::chrono::seconds{1'817'196'072}};
  facts.clock = {shotlog::ClockGrade::a, Duration{3'000}};
  return facts;
}

class NoColor {
 public:
  NoColor() { ::setenv("NO_COLOR", "1", 1); }
  ~NoColor() { ::unsetenv("NO_COLOR"); }
};

}  // namespace

TEST_CASE("a frame goes over the one before, events above it, and erases what is left of it") {
  const std::vector<std::string> lines{"one", "two"};
  CHECK(terminal_frame(0, {}, lines, Paint::plain) == "\rone\x1b[K\r\ntwo\x1b[K\r\n\x1b[J");
  CHECK(terminal_frame(2, {"an event"}, {"three"}, Paint::plain) ==
        "\r\x1b[2A"
        "an event\x1b[K\r\nthree\x1b[K\r\n\x1b[J");
}

TEST_CASE("colour is for what needs a person") {
  CHECK(terminal_frame(0, {}, {"ALARM x", "SIMULATED: keep the camera filter on", "fine"}, Paint::colour) ==
        "\r\x1b[1;31mALARM x\x1b[0m\x1b[K\r\n\x1b[1mSIMULATED: keep the camera filter on\x1b[0m\x1b[K\r\n"
        "fine\x1b[K\r\n\x1b[J");
}

TEST_CASE("in a small window lines are cut and the last one stays") {
  CHECK(fitted_lines({"one", "two", "three", "alarm"}, {5, 3}) == std::vector<std::string>{"one", "ala…"});
  CHECK(fitted_lines({"one", "two", "alarm"}, {80, 1}) == std::vector<std::string>{"alarm"});
  CHECK(fitted_lines({"one"}, {0, 0}) == std::vector<std::string>{"…"});
  CHECK(fitted_lines({}, {80, 24}).empty());
}

TEST_CASE("on a terminal the view is drawn in place, and anew when the window changes") {
  const NoColor plain;
  const Pty pty{40, 10};
  StatusView view{pty.program.get()};
  CHECK(view.is_terminal());
  view.draw(facts());
  const auto first = pty.shown();
  CHECK(first.starts_with("\r08:41:12 UTC "));
  CHECK(first.ends_with("FOR REAL\x1b[K\r\nclock A, within 3 ms\x1b[K\r\nno alarm\x1b[K\r\n\x1b[J"));
  view.say("an event");
  CHECK(pty.shown().starts_with("\r\x1b[4Aan event\x1b[K\r\n08:41:12 UTC "));
  pty.resize(30, 3);
  view.draw(facts());
  const auto resized = pty.shown();
  CHECK(resized.starts_with("\x1b[H\x1b[2J\r08:41:12 UTC "));
  CHECK(resized.ends_with("\x1b[K\r\nno alarm\x1b[K\r\n\x1b[J"));
}

TEST_CASE("a terminal stopped with Ctrl-S holds nobody up, and shows the newest when it goes on") {
  const Pty pty{80, 24};
  StatusView view{pty.program.get()};
  view.draw(facts());
  REQUIRE(pty.shown() != "");
  pty.type('\x13');
  for (int n = 0; n < 1000; ++n) {
    view.say("event " + std::to_string(n));
    view.draw(facts());
  }
  pty.type('\x11');
  std::string shown;
  // The kernel hands on what a terminal takes when it has time.
  for (int n = 0; n < 10'000 && shown.find("event 999") == std::string::npos; ++n) {
    view.draw(facts());
    shown += pty.shown();
    ::usleep(1'000);
  }
  CHECK(shown.find("events aren't shown)") != std::string::npos);
  CHECK(shown.find("event 999") != std::string::npos);
}

TEST_CASE("where there is no terminal only events are printed, without waiting for a reader") {
  int ends[2];
  REQUIRE(::pipe2(ends, O_CLOEXEC) == 0);
  posix::FileDescriptor reader{ends[0]};
  const posix::FileDescriptor writer{ends[1]};
  StatusView view{writer.get()};
  CHECK_FALSE(view.is_terminal());
  view.draw(facts());
  view.say("one");
  view.draw(facts());
  view.say("two");
  char text[64];
  REQUIRE(::read(reader.get(), text, sizeof text) == 8);
  CHECK(std::string(text, 8) == "one\ntwo\n");
  for (int n = 0; n < 2000; ++n) view.say(std::string(200, 'x'));  // more than a pipe holds
  // The pipe's other holders still wait as they did.
  CHECK((::fcntl(writer.get(), F_GETFL) & O_NONBLOCK) == 0);
  const auto previous = std::signal(SIGPIPE, SIG_IGN);
  reader = posix::FileDescriptor{};
  view.say("nobody reads this");
  view.say("nor this");
  std::signal(SIGPIPE, previous);
}

TEST_CASE("a system journal's socket is written to without waiting") {
  int ends[2];
  REQUIRE(::socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends) == 0);
  const posix::FileDescriptor reader{ends[0]};
  const posix::FileDescriptor writer{ends[1]};
  StatusView view{writer.get()};
  view.say("one");
  char text[64];
  REQUIRE(::read(reader.get(), text, sizeof text) == 4);
  for (int n = 0; n < 5000; ++n) view.say(std::string(200, 'x'));
  CHECK((::fcntl(writer.get(), F_GETFL) & O_NONBLOCK) == 0);
}
