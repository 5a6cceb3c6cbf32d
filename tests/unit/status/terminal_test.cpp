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

Event event(std::string words) {
  return {facts().now, std::move(words), {}, {}};
}

class NoColor {
 public:
  NoColor() { ::setenv("NO_COLOR", "1", 1); }
  ~NoColor() { ::unsetenv("NO_COLOR"); }
};

}  // namespace

TEST_CASE("a frame goes over the one before, what leaves it above, and erases what is left of it") {
  const std::vector<Row> rows{{"one"}, {"two"}};
  CHECK(terminal_frame(0, {}, rows, Paint::plain) == "\rone\x1b[K\r\ntwo\x1b[K\r\n\x1b[J");
  CHECK(terminal_frame(2, {"an event"}, {{"three"}}, Paint::plain) ==
        "\r\x1b[2A"
        "an event\x1b[K\r\nthree\x1b[K\r\n\x1b[J");
}

// ECMA-48 8.3.117 (SGR): 1 bold, 7 inverse, 31 red display, 40 black background.
TEST_CASE("by day colour is for what needs a person, at night all is red on black") {
  const std::vector<Row> rows{{"ALARM x", Tone::urgent}, {"SIMULATED", Tone::strong}, {"fine"}};
  CHECK(terminal_frame(0, {}, rows, Paint::colour) ==
        "\r\x1b[1;31mALARM x\x1b[0m\x1b[K\r\n\x1b[1mSIMULATED\x1b[0m\x1b[K\r\nfine\x1b[K\r\n\x1b[J");
  CHECK(terminal_frame(0, {}, rows, Paint::night) ==
        "\r\x1b[31;40;7mALARM x\x1b[K\x1b[0m\r\n\x1b[31;40mSIMULATED\x1b[K\x1b[0m\r\n"
        "\x1b[31;40mfine\x1b[K\x1b[0m\r\n\x1b[J");
}

TEST_CASE("on a terminal the view is drawn in place, and anew when the window changes") {
  const NoColor plain;
  const Pty pty{40, 10};
  StatusView view{pty.program.get()};
  CHECK(view.is_terminal());
  view.draw(facts());
  const auto first = pty.shown();
  CHECK(first.starts_with("\r08:41:12 UTC"));
  CHECK(first.find("FOR REAL") != std::string::npos);
  CHECK(first.find("no alarm\x1b[K\r\n") != std::string::npos);
  CHECK(first.ends_with("\x1b[K\r\n\x1b[J"));
  view.say(event("an event"));
  const auto second = pty.shown();
  CHECK(second.starts_with("\r\x1b[9A08:41:12 UTC"));
  CHECK(second.find("an event\x1b[K\r\n") != std::string::npos);
  view.say("of the diagnostic log");
  CHECK(pty.shown().starts_with("\r\x1b[9Aof the diagnostic log\x1b[K\r\n08:41:12 UTC"));
  pty.resize(30, 8);
  view.draw(facts());
  const auto resized = pty.shown();
  CHECK(resized.starts_with("\x1b[H\x1b[2J"));
  CHECK(resized.find("08:41:12 UTC an event") != std::string::npos);  // it has left the screen
}

TEST_CASE("keys are asked about and answered on the screen") {
  const NoColor plain;
  const Pty pty{80, 24};
  StatusView view{pty.program.get()};
  CHECK_FALSE(view.take_keys("c"));  // nothing to speak of yet
  view.draw(facts());
  CHECK_FALSE(view.take_keys("c"));
  CHECK(pty.shown().find("clock ok?  Enter does it") != std::string::npos);
  CHECK(view.take_keys("\r") == "clock ok");
  view.answered(true, "clock ok");
  CHECK(pty.shown().find("done: clock ok\x1b[K") != std::string::npos);
}

TEST_CASE("in totality the screen is red on black") {
  const Pty pty{80, 24};
  StatusView view{pty.program.get()};
  auto given = facts();
  view.draw(given);
  CHECK(pty.shown().find("\x1b[31;40m") == std::string::npos);
  given.in_totality = Totality{};
  view.draw(given);
  CHECK(pty.shown().find("\x1b[31;40m08:41:12 UTC") != std::string::npos);
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
