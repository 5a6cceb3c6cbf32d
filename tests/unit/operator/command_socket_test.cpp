#include "daemon/operator/command_socket.h"
#include "daemon/posix/file_descriptor.h"
#include "daemon/posix/unix_socket.h"

#include <fcntl.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>

#include <sstream>
#include <thread>
#include <vector>

#include <doctest/doctest.h>
#include <boost/asio/post.hpp>

#include "daemon/operator/tell.h"
#include "tests/failing_sockets.h"
#include "tests/program/run_program.h"

using namespace noonfall;
using namespace noonfall::control;
using namespace std::chrono_literals;

namespace {

/// A daemon that repeats what it is told, in a thread of its own; words with "no" in them are refused.
class Echo {
 public:
  explicit Echo(const std::string& path, SocketLimits limits = {}) : folder_{open_folder(path)} {
    auto socket = CommandSocket::open(
        io_, folder_,
        [this](const std::string& words) {
          heard_.push_back(words);
          return Answer{words.find("no") == std::string::npos, "heard: " + words};
        },
        limits);
    REQUIRE(socket.has_value());
    socket_ = std::move(*socket);
    thread_ = std::thread{[this] { io_.run(); }};
  }
  ~Echo() { (void)stop(); }
  /// Everything it was told.
  std::vector<std::string> stop() {
    if (!thread_.joinable()) return {};
    boost::asio::post(io_, [this] { socket_.reset(); });
    thread_.join();
    return heard_;
  }

 private:
  static journal::RunFolder open_folder(const std::string& path) {
    auto folder = journal::RunFolder::open(path);
    REQUIRE(folder.has_value());
    return std::move(*folder);
  }

  journal::RunFolder folder_;
  boost::asio::io_context io_;
  std::vector<std::string> heard_;
  std::unique_ptr<CommandSocket> socket_;
  std::thread thread_;
};

/// A client that sends what no proper one would.
class RawClient {
 public:
  explicit RawClient(const std::string& folder)
      : directory_{::open(folder.c_str(), O_PATH | O_DIRECTORY | O_CLOEXEC)},
        socket_{::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0)} {
    const auto address = posix::socket_address(directory_.get(), journal::control_socket_name);
    REQUIRE(::connect(socket_.get(), reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0);
  }
  void send(const std::string& bytes) const {
    (void)::send(socket_.get(), bytes.data(), bytes.size(), MSG_NOSIGNAL);
  }
  void end() const { ::shutdown(socket_.get(), SHUT_WR); }
  /// Until the other side closes, or `lines` have come.
  std::string receive(int lines = 1 << 30) const {
    std::string all;
    char byte = 0;
    while (lines > 0 && ::recv(socket_.get(), &byte, 1, 0) == 1) {
      all += byte;
      if (byte == '\n') --lines;
    }
    return all;
  }

 private:
  posix::FileDescriptor directory_;
  posix::FileDescriptor socket_;
};

}  // namespace

TEST_CASE("a command is a line and its answer is a line, several on one connection") {
  const tests::ScratchFolder scratch;
  Echo echo{scratch.path("run")};
  const RawClient client{scratch.path("run")};
  client.send("hold long\nno\r\n");
  CHECK(client.receive(2) ==
        "{\"ok\":true,\"words\":\"heard: hold long\"}\n{\"ok\":false,\"words\":\"heard: no\"}\n");
  client.send("sto");
  client.send("p\n");
  CHECK(client.receive(1) == "{\"ok\":true,\"words\":\"heard: stop\"}\n");
  CHECK(echo.stop() == std::vector<std::string>{"hold long", "no", "stop"});
}

TEST_CASE("the socket is its owner's alone, replaces a dead daemon's, and is gone with the daemon") {
  const tests::ScratchFolder scratch;
  const auto path = scratch.path("run/control.sock");
  std::filesystem::create_directory(scratch.path("run"));
  std::ofstream{scratch.path("run/lock")} << "";
  std::ofstream{path} << "what a dead daemon left";
  Echo echo{scratch.path("run")};
  struct stat status {};
  REQUIRE(::stat(path.c_str(), &status) == 0);
  CHECK(S_ISSOCK(status.st_mode));
  CHECK((status.st_mode & 0777U) == 0600U);
  echo.stop();
  CHECK_FALSE(std::filesystem::exists(path));
}

TEST_CASE("half a line is never a command") {
  const tests::ScratchFolder scratch;
  Echo echo{scratch.path("run")};
  const RawClient client{scratch.path("run")};
  client.send("hold long\nstop");
  client.end();
  CHECK(client.receive() == "{\"ok\":true,\"words\":\"heard: hold long\"}\n");
  CHECK(echo.stop() == std::vector<std::string>{"hold long"});
}

TEST_CASE("a command of the longest length is taken, one byte more is refused and the client cut") {
  const tests::ScratchFolder scratch;
  Echo echo{scratch.path("run")};
  const std::string longest(longest_command, 'x');
  {
    const RawClient client{scratch.path("run")};
    client.send(longest + "\n");
    CHECK(client.receive(1) == "{\"ok\":true,\"words\":\"heard: " + longest + "\"}\n");
  }
  const RawClient client{scratch.path("run")};
  client.send(longest + "x\nstop\n");
  CHECK(client.receive() == "{\"ok\":false,\"words\":\"a command has at most 4096 bytes\"}\n");
  CHECK(echo.stop() == std::vector<std::string>{longest});
}

TEST_CASE("bytes that are no text are handed on and answered in UTF-8") {
  const tests::ScratchFolder scratch;
  Echo echo{scratch.path("run")};
  const RawClient client{scratch.path("run")};
  client.send(std::string{"\xff\x00\x01\n", 4});
  CHECK(client.receive(1) == "{\"ok\":true,\"words\":\"heard: \xef\xbf\xbd\\u0000\\u0001\"}\n");
  CHECK(echo.stop() == std::vector<std::string>{std::string{"\xff\x00\x01", 3}});
}

TEST_CASE("a client that says nothing, or no whole line, is cut") {
  const tests::ScratchFolder scratch;
  const Echo echo{scratch.path("run"), {20ms, 8}};
  const RawClient silent{scratch.path("run")};
  const RawClient slow{scratch.path("run")};
  slow.send("hold");
  CHECK(silent.receive() == "");
  CHECK(slow.receive() == "");
}

TEST_CASE("one client too many is turned away, and there is room again when another has left") {
  const tests::ScratchFolder scratch;
  const Echo echo{scratch.path("run"), {10s, 2}};
  auto first = std::make_unique<RawClient>(scratch.path("run"));
  const RawClient second{scratch.path("run")};
  first->send("a\n");
  second.send("b\n");
  REQUIRE(first->receive(1) != "");
  REQUIRE(second.receive(1) != "");
  const RawClient third{scratch.path("run")};
  CHECK(third.receive() == "{\"ok\":false,\"words\":\"2 others are connected; try again in a moment\"}\n");
  first->end();
  REQUIRE(first->receive() == "");  // the daemon has let go of it
  const RawClient fourth{scratch.path("run")};
  fourth.send("d\n");
  CHECK(fourth.receive(1) == "{\"ok\":true,\"words\":\"heard: d\"}\n");
}

TEST_CASE("a daemon that ends cuts its clients") {
  const tests::ScratchFolder scratch;
  Echo echo{scratch.path("run")};
  const RawClient client{scratch.path("run")};
  client.send("hold long\n");
  REQUIRE(client.receive(1) != "");
  echo.stop();
  CHECK(client.receive() == "");
}

TEST_CASE("a folder whose path is longer than a socket's may be works all the same") {
  const tests::ScratchFolder scratch;
  const auto path = scratch.path(std::string(200, 'f') + "/run");
  const Echo echo{path};
  CHECK(tell(path, "hold long").value() == Answer{true, "heard: hold long"});
}

TEST_CASE("whichever socket call fails, the next command is heard and answered") {
  for (int number = 1;; ++number) {
    CAPTURE(number);
    const noonfall::tests::FailingSocketCall failing{number};
    const tests::ScratchFolder scratch;
    const auto path = scratch.path("run");
    Echo echo{path};
    const auto say = [&](const std::string& words) {
      const RawClient client{path};
      client.send(words + "\n");
      client.end();
      return client.receive();
    };
    (void)say("one");
    const bool failed = noonfall::tests::FailingSocketCall::calls() >= number;
    CHECK(say("two").find("heard: two") != std::string::npos);
    CHECK(echo.stop().back() == "two");
    if (failed) continue;
    CHECK(number > 3);
    break;
  }
}
