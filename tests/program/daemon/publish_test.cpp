// What a broker hears of a run: Debian's mosquitto, on a port of its own.
#include <csignal>

#include <doctest/doctest.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/program/daemon/field.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

constexpr const char* mosquitto = "/usr/sbin/mosquitto";

/// What it does is in its log.
class BrokerProcess {
 public:
  BrokerProcess() {
    const auto config = scratch.file(
        "mosquitto.conf",
        fmt::format("listener {} 127.0.0.1\nallow_anonymous true\nuser root\nlog_dest stderr\nlog_type all\n",
                    port()));
    const auto log_file = scratch.path("log");
    pid_ = ::fork();
    REQUIRE(pid_ >= 0);
    if (pid_ == 0) {
      ::dup2(::open(log_file.c_str(), O_WRONLY | O_CREAT, 0600), STDERR_FILENO);
      ::execl(mosquitto, mosquitto, "-c", config.c_str(), nullptr);
      ::_exit(127);
    }
  }
  ~BrokerProcess() {
    ::kill(pid_, SIGKILL);
    ::waitpid(pid_, nullptr, 0);
  }
  BrokerProcess(const BrokerProcess&) = delete;
  BrokerProcess& operator=(const BrokerProcess&) = delete;

  [[nodiscard]] static int port() { return 20'000 + ::getpid() % 20'000; }
  [[nodiscard]] std::string log() const { return text_of_file(scratch.path("log")); }
  [[nodiscard]] bool logs(const std::string& words) const {
    return comes_true([&] { return log().find(words) != std::string::npos; });
  }

  ScratchFolder scratch;

 private:
  pid_t pid_ = -1;
};

}  // namespace

TEST_CASE("a broker hears the run each second, retained, and of its end, also when it is killed") {
  if (::access(mosquitto, X_OK) != 0) {
    MESSAGE("SKIPPED: no " << std::string{mosquitto});
    return;
  }
  Field field;
  field.speed = "1";
  field.begin(field_plan,
              {"--page", "none", "--publish", fmt::format("mqtt://127.0.0.1:{}", BrokerProcess::port())});
  REQUIRE(comes_true([&] { return field.lines().size() > 3; }));  // with no broker there it goes on
  const BrokerProcess broker;
  // MQTT 3.1.1, 3.3.1: "r1" is RETAIN.
  CHECK(broker.logs("/run/state', ... (4 bytes))"));
  CHECK(broker.logs("Will message specified (4 bytes) (r1, q1)"));
  CHECK(broker.logs("q0, r1, m0, 'noonfall/"));
  CHECK(broker.logs("/run/run', ... ("));
  SUBCASE("it is told to end") {
    field.daemon.kill(SIGINT);
    CHECK(field.exit() == 0);
    CHECK(broker.logs("Received DISCONNECT from "));
  }
  SUBCASE("it is killed, and the broker has its last will") {
    field.daemon.kill(SIGKILL);
    (void)field.exit();
    CHECK(broker.logs("closed its connection"));
  }
}

TEST_CASE("a broker that never comes costs the run nothing, and one that is none is refused") {
  Field field;
  for (const auto* wrong : {"localhost", "http://localhost", "mqtt://", "mqtt://:1883", "mqtt://a:0",
                            "mqtt://a:x", "mqtt://u@h"}) {
    CAPTURE(wrong);
    const auto ran = field.run(field.plan(field_plan) + " --simulate --move C2=+90s --publish " + wrong);
    CHECK(ran.exit == 2);
    CHECK(ran.err.ends_with("is no broker to publish to\n  wanted: mqtt://HOST or mqtt://HOST:PORT\n"));
  }
  field.begin(field_plan, {"--page", "none", "--publish", "mqtt://127.0.0.1:1"});
  CHECK(field.comes_to_fire("corona"));
  field.daemon.kill(SIGINT);
  CHECK(field.exit() == 0);
}
