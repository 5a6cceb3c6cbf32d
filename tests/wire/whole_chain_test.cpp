// noonfalld to worker to camera library to body: what the log says and what the bodies took.
#include <poll.h>
#include <signal.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <functional>
#include <thread>

#include <doctest/doctest.h>

#include "daemon/posix/unix_socket.h"
#include "daemon/worker/body_record.h"
#include "lib/shotlog/replay.h"
#include "tests/drill/daemon_process.h"
#include "tests/wire/bodies.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace std::chrono_literals;

namespace {

/// An invented field under the eclipse of 2020-12-14; two rigs shoot through the first 20 s of totality.
std::string plan_of(const std::string& long_body, const std::string& wide_body) {
  return R"(noonfall: 1
title: By wire
eclipse: 2020-12-14
site: {latitude: -39.5, longitude: -70.5, elevation: 900 m}
rigs:
  long:
    body: )" +
         long_body + R"(
    lens: {focal_length: 600 mm}
    sensor: {width: 35.9 mm, height: 23.9 mm, pixel: 5.9 um}
    mount: tracking
    exposure: {aperture: f/8, iso: 400}
    filter: {density: 5.0}
  wide:
    body: )" +
         wide_body + R"(
    lens: {focal_length: 24 mm}
    mount: fixed
    exposure: {aperture: f/8, iso: 400}
    files: raw+jpeg
    filter: none
steps:
  - name: corona
    rig: long
    subject: corona 0.1 to 2
    from: C2 + 1 s
    until: C2 + 20 s
    every: back to back
    bracket: {from: 1/1000, to: 1/8, by: 2 stops}
  - name: burst
    rig: wide
    subject: landscape
    from: C2 + 1 s
    until: C2 + 2 s
    every: back to back
    drive: continuous
    exposure: {shutter: 1/500}
  - name: land
    rig: wide
    subject: landscape
    from: C2 + 4 s
    until: C2 + 20 s
    every: 1 s
    exposure: {shutter: 1/125}
)";
}

class Chain {
 public:
  void start(const std::string& plan, const std::vector<std::string>& more) {
    std::vector<std::string> words{scratch_.file("plan.yaml", plan), "--move", "C2=+7s"};
    words.insert(words.end(), more.begin(), more.end());
    daemon.start(words);
  }
  [[nodiscard]] std::string folder() const { return scratch_.path("run"); }
  [[nodiscard]] std::vector<shotlog::FrameOutcome> outcomes(const std::string& rig) const {
    std::vector<shotlog::FrameOutcome> found;
    for (const auto& line : shotlog::replay(daemon.log()).lines) {
      const auto* outcome = std::get_if<shotlog::FrameOutcome>(&line.entry);
      if (outcome != nullptr && outcome->frame.rig == rig) found.push_back(*outcome);
    }
    return found;
  }
  [[nodiscard]] bool comes_to_fire(const std::string& rig, std::ptrdiff_t frames) const {
    return comes_true([&] { return fired(rig) >= frames; });
  }
  [[nodiscard]] std::ptrdiff_t fired(const std::string& rig) const {
    return std::ranges::count(outcomes(rig), order::Outcome::fired, &shotlog::FrameOutcome::result);
  }
  /// Faults of a rig that say so.
  [[nodiscard]] bool says(const std::string& rig, const std::string& words) const {
    return std::ranges::any_of(shotlog::replay(daemon.log()).lines, [&](const auto& line) {
      const auto* fault = std::get_if<shotlog::BodyNews>(&line.entry);
      return fault != nullptr && fault->rig == rig && fault->why.find(words) != std::string::npos;
    });
  }
  [[nodiscard]] static bool comes_true(const std::function<bool()>& what) {
    const auto until = std::chrono::steady_clock::now() + 2 * patience;
    while (!what()) {
      if (std::chrono::steady_clock::now() > until) return false;
      std::this_thread::sleep_for(20ms);
    }
    return true;
  }
  int stop() {
    daemon.kill(SIGINT);
    return daemon.wait(2 * patience).value_or(-1);
  }
  [[nodiscard]] std::vector<sim::RecordedFrame> taken(int rig) const {
    return worker::read_record(text_of_file(folder() + "/rig-" + std::to_string(rig) + ".taken.jsonl"));
  }
  [[nodiscard]] bool plugged_in(int rig) const {
    const auto name = "rig-" + std::to_string(rig) + ".body";
    return posix::connect_in(folder() + "/bus", name, posix::SocketKind::datagrams).is_open();
  }

 private:
  ScratchFolder scratch_;

 public:
  drill::DaemonProcess daemon{NOONFALL_DAEMON, folder()};
};

/// Each picture has its outcome, in the order taken and with its exposure; what a file is said to be it is.
void check_against(const std::vector<shotlog::FrameOutcome>& outcomes,
                   const std::vector<sim::RecordedFrame>& taken) {
  std::vector<shotlog::FrameOutcome> asked;
  for (const auto& outcome : outcomes) {
    const bool happened =
        outcome.result == order::Outcome::fired || outcome.result == order::Outcome::unknown;
    if (happened) asked.push_back(outcome);
  }
  REQUIRE(asked.size() == taken.size());
  for (std::size_t n = 0; n < taken.size(); ++n) {
    CHECK(asked[n].exposure == taken[n].exposure);
    CHECK((asked[n].files.empty() || asked[n].files == taken[n].files));
  }
}

const std::string simulated = "{simulate: mirrorless-20}";

}  // namespace

TEST_CASE(
    "a plan is shot by wire, a killed daemon goes on with the same bodies, and all is put away at the end") {
  Chain chain;
  chain.start(plan_of(simulated, simulated), {"--simulate=wire"});
  REQUIRE(chain.comes_to_fire("long", 3));
  chain.daemon.kill(SIGKILL);
  (void)chain.daemon.wait(patience);
  chain.daemon.start({});
  REQUIRE(chain.comes_to_fire("long", 15));
  REQUIRE(chain.comes_to_fire("wide", 7));
  CHECK(chain.plugged_in(0));
  CHECK(chain.stop() == 0);
  check_against(chain.outcomes("long"), chain.taken(0));
  check_against(chain.outcomes("wide"), chain.taken(1));
  CHECK(chain.daemon.workers().empty());
  CHECK_FALSE(chain.plugged_in(0));
  CHECK_FALSE(chain.plugged_in(1));
}

TEST_CASE(
    "bodies of a plan are found by their serial numbers: one that isn't there is said, the other shoots") {
  const Usb usb;
  const Body there{usb, "b", {"--serial", "3012345"}, "one"};
  const Body other{usb, "a", {"--serial", "77", "--bus", "2"}, "two"};
  Chain chain;
  chain.start(
      plan_of("{serial: \"3012345\", profile: mirrorless-20}", "{serial: \"4\", profile: mirrorless-20}"),
      {});
  REQUIRE(chain.comes_to_fire("long", 6));
  CHECK(chain.says("wide", "no body has the serial number 4; there are: "));
  CHECK(chain.fired("wide") == 0);
  CHECK(chain.stop() == 0);
  check_against(chain.outcomes("long"), there.taken());
  CHECK(other.taken().empty());
}

TEST_CASE("two rigs can't have one body, and nothing by wire is hurried") {
  const ScratchFolder scratch;
  const auto body = std::string{"{serial: \"7\", profile: mirrorless-20}"};
  const auto plan = scratch.file("plan.yaml", plan_of(body, body));
  const auto ran = run_program(NOONFALL_DAEMON, plan + " --move C2=+60s --state " + scratch.path("run"));
  CHECK(ran.exit == 1);
  CHECK(ran.err.find("error: long and wide have the same body, 7\n") != std::string::npos);
  const auto hurried =
      run_program(NOONFALL_DAEMON, plan + " --simulate=wire --speed 4 --state " + scratch.path("b"));
  CHECK(hurried.exit == 2);
  CHECK(hurried.err.find("--simulate=wire goes at the pace of the camera library") != std::string::npos);
}

TEST_CASE(
    "rung 5: a worker that dies is replaced, and the body it held is had again, and the other rig goes on") {
  Chain chain;
  chain.start(plan_of(simulated, simulated), {"--simulate=wire"});
  REQUIRE(chain.comes_to_fire("long", 3));
  const auto wide_before = chain.fired("wide");
  for (const auto worker : chain.daemon.workers()) {
    const auto words = text_of_file("/proc/" + std::to_string(worker) + "/cmdline");
    if (words.find(std::string{"--rig"} + '\0' + "0" + '\0') != std::string::npos) ::kill(worker, SIGKILL);
  }
  CHECK(Chain::comes_true([&] { return chain.says("long", "the worker was killed by signal 9"); }));
  const auto before = chain.fired("long");
  CHECK(chain.comes_to_fire("long", before + 5));
  CHECK(chain.comes_to_fire("wide", wide_before + 2));
  CHECK_FALSE(chain.says("wide", "the worker"));
  CHECK(chain.stop() == 0);
  // Each frame said to be fired is a picture, and none was taken twice.
  const auto outcomes = chain.outcomes("long");
  const auto taken = chain.taken(0);
  std::size_t at = 0;
  std::size_t open = 0;
  for (const auto& outcome : outcomes) {
    if (outcome.result == order::Outcome::unknown) ++open;
    if (outcome.result != order::Outcome::fired) continue;
    // A picture that was announced late isn't named, and those of unknown frames may lie before it.
    const auto is_its = [&](const auto& picture) {
      return outcome.files.empty() ? picture.exposure == outcome.exposure : picture.files == outcome.files;
    };
    while (at < taken.size() && !is_its(taken[at])) ++at;
    REQUIRE(at < taken.size());
    CHECK(taken[at++].exposure == outcome.exposure);
  }
  CHECK(taken.size() <= static_cast<std::size_t>(chain.fired("long")) + open);
  check_against(chain.outcomes("wide"), chain.taken(1));
}
