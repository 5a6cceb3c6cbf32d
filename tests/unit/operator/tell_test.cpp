#include "daemon/operator/tell.h"
#include "daemon/posix/file_descriptor.h"
#include "daemon/posix/unix_socket.h"

#include <sys/socket.h>
#include <sys/un.h>

#include <cstdlib>
#include <sstream>
#include <thread>

#include <doctest/doctest.h>
#include <boost/asio/post.hpp>

#include "daemon/operator/command_socket.h"
#include "tests/program/run_program.h"

using namespace noonfall;
using namespace noonfall::control;
using namespace std::chrono_literals;

namespace {

/// Answers one command in `folder`, then ends.
class OneAnswer {
 public:
  OneAnswer(const journal::RunFolder& folder, Answer answer) {
    auto socket = CommandSocket::open(io_, folder, [this, answer](const std::string&) {
      boost::asio::post(io_, [this] { ended_ = true; });
      return answer;
    });
    REQUIRE(socket.has_value());
    socket_ = std::move(*socket);
    thread_ = std::thread{[this] {
      while (!ended_) io_.run_one();
      io_.poll();
    }};
  }
  ~OneAnswer() { thread_.join(); }

 private:
  boost::asio::io_context io_;
  bool ended_ = false;  // the thread's
  std::unique_ptr<CommandSocket> socket_;
  std::thread thread_;
};

journal::RunFolder folder_at(const std::string& path) {
  auto folder = journal::RunFolder::open(path);
  REQUIRE(folder.has_value());
  return std::move(*folder);
}

struct Told {
  int exit = -1;
  std::string out;
  std::string err;
};

Told told(const std::string& folder, const std::string& words) {
  std::ostringstream out;
  std::ostringstream err;
  const int exit = tell_and_print(folder, words, out, err);
  return {exit, out.str(), err.str()};
}

}  // namespace

TEST_CASE("an answer reads back as it was written, and nothing else is one") {
  for (const auto& answer : {Answer{true, "held \"long\""}, Answer{false, "two\nlines, é"}, Answer{}}) {
    CHECK(parse_answer(to_line(answer)).value() == answer);
  }
  for (const auto* text :
       {"", "ok", "[]", "{}", "{\"ok\":1,\"words\":\"\"}", "{\"ok\":true}", "{\"ok\":true,"}) {
    CHECK_FALSE(parse_answer(text).has_value());
  }
}

TEST_CASE("what the daemon did is printed with exit 0, what it refused with exit 1") {
  const tests::ScratchFolder scratch;
  const auto folder = folder_at(scratch.path("run"));
  {
    const OneAnswer daemon{folder, {true, "long is held"}};
    const auto got = told(folder.path(), "hold long");
    CHECK(got.exit == 0);
    CHECK(got.out == "long is held\n");
    CHECK(got.err == "");
  }
  const OneAnswer daemon{folder, {false, "there is no rig \"lang\""}};
  const auto got = told(folder.path(), "hold lang");
  CHECK(got.exit == 1);
  CHECK(got.out == "");
  CHECK(got.err == "there is no rig \"lang\"\n");
}

TEST_CASE("a folder where nobody runs is exit 3, whether it exists or not or a daemon died there") {
  const tests::ScratchFolder scratch;
  const auto path = scratch.path("run");
  const auto wanted =
      "error: no noonfalld runs in " + path + "\n  wanted: start one, or name its folder with --state DIR\n";
  CHECK(told(path, "stop").err == wanted);
  const auto folder = folder_at(path);
  CHECK(told(path, "stop").err == wanted);
  const posix::FileDescriptor dead{::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0)};
  const auto address = posix::socket_address(folder.directory(), journal::control_socket_name);
  REQUIRE(::bind(dead.get(), reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0);
  const auto got = told(path, "stop");
  CHECK(got.exit == 3);
  CHECK(got.err == wanted);
}

TEST_CASE("a daemon that takes the command and says nothing is given up on") {
  const tests::ScratchFolder scratch;
  const auto folder = folder_at(scratch.path("run"));
  const posix::FileDescriptor mute{::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0)};
  const auto address = posix::socket_address(folder.directory(), journal::control_socket_name);
  REQUIRE(::bind(mute.get(), reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0);
  REQUIRE(::listen(mute.get(), 1) == 0);
  const auto answer = tell(folder.path(), "stop", 20ms);
  REQUIRE_FALSE(answer.has_value());
  CHECK(to_text(answer.error()) ==
        "error: noonfalld in " + folder.path() +
            " didn't answer within 20 ms\n"
            "  wanted: the command may have been taken; its screen and shot log tell\n");
}

TEST_CASE("words that can't be one command are refused without asking anybody") {
  const Answer wanted{false, "a command is one line of at most 4096 bytes"};
  CHECK(tell("/nowhere", "hold long\nstop").value() == wanted);
  CHECK(tell("/nowhere", std::string(4097, 'x')).value() == wanted);
}

TEST_CASE("without a folder the one run that is going on is told, wherever it lies") {
  const tests::ScratchFolder scratch;
  const auto here = [&] {  // others may run on this machine
    auto runs = journal::live_runs();
    std::erase_if(runs, [&](const auto& run) { return !run.starts_with(scratch.path("")); });
    return runs;
  };
  const auto told_here = [&] {
    std::ostringstream out;
    std::ostringstream err;
    const int exit = tell_and_print("", "stop", out, err, here);
    return Told{exit, out.str(), err.str()};
  };
  CHECK(told_here().err ==
        "error: no noonfalld of yours runs here\n  wanted: start one, or name its folder with --state DIR\n");
  (void)folder_at(scratch.path("last-year-event"));  // let go at once
  const auto one = folder_at(scratch.path("far/away/one"));
  CHECK(told_here().exit == 3);  // it takes no words yet
  const OneAnswer daemon{one, {true, "stopping"}};
  CHECK(told_here().out == "stopping\n");
  const auto two = folder_at(scratch.path("two-dress"));
  const OneAnswer other{two, {true, ""}};
  const auto got = told_here();
  CHECK(got.exit == 3);
  CHECK(got.err == "error: 2 of them run: " + one.path() + ", " + two.path() +
                       "\n  wanted: --state DIR with one of these folders\n");
  // So that its answer has somebody to go to.
  std::ostringstream out;
  CHECK(tell_and_print(two.path(), "stop", out, out) == 0);
}
