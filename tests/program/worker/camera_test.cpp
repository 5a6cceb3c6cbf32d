// A real noonfall-camera process and a daemon by hand: orders in, frames out, and what a worker makes of a
// daemon that goes, comes back, or talks nonsense.
#include <signal.h>
#include <sys/resource.h>

#include <filesystem>
#include <thread>

#include <doctest/doctest.h>

#include "daemon/worker/body_record.h"
#include "tests/program/worker/fake_daemon.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace noonfall::worker;
using namespace std::chrono_literals;
using order::Outcome;

namespace {

std::vector<std::int64_t> numbers(const std::vector<NumberedReport>& reports) {
  std::vector<std::int64_t> list;
  for (const auto& report : reports) list.push_back(report.number);
  return list;
}

std::vector<std::string> first_files(const std::vector<order::FrameDone>& frames) {
  std::vector<std::string> names;
  for (const auto& frame : frames) names.push_back(frame.files.empty() ? "none" : frame.files.front());
  return names;
}

std::string refusal_of(const RunFolder& folder, const std::string& options) {
  const auto ran = run_program(NOONFALL_CAMERA, "--socket-dir '" + folder.path() + "' " + options);
  CHECK(ran.exit == 3);
  return ran.err;
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("an order goes in, its frames come out as the body took them") {
  const RunFolder folder;
  const Worker worker{folder, {"--record", folder.path("record"), "--files", "raw+jpeg"}};
  FakeDaemon daemon{folder};
  const auto hello = daemon.greet();
  CHECK(hello.pid == worker.pid());
  CHECK(hello.last_order == 0);
  CHECK(hello.held.empty());
  const auto due = plan_noon() + 500ms;
  daemon.say(order_at(7, due, 3));
  const auto reports = daemon.reports_of(7);
  CHECK(numbers(reports) == std::vector<std::int64_t>{1, 2, 3, 4, 5});
  CHECK(std::holds_alternative<order::OrderStarted>(reports.front().report));
  const auto frames = frames_of(reports);
  REQUIRE(frames.size() == 3);
  const auto truth = read_record(text_of_file(folder.path("record")));
  REQUIRE(truth.size() == 3);
  for (std::size_t n = 0; n < frames.size(); ++n) {
    CHECK(frames[n].outcome == Outcome::fired);
    CHECK(frames[n].opened >= due);
    CHECK(frames[n].id == truth[n].id);
    CHECK(frames[n].released == truth[n].released);
    CHECK(frames[n].opened == truth[n].opened);
    CHECK(frames[n].closed == truth[n].closed);
    CHECK(frames[n].exposure == truth[n].exposure);
    CHECK(frames[n].files == truth[n].files);
    CHECK(frames[n].files.size() == 2);
  }
}

TEST_CASE("a limit on the size of files ends no worker and costs no frame") {
  const RunFolder folder;
  const Worker worker{folder, {"--record", folder.path("record")}};
  FakeDaemon daemon{folder};
  daemon.greet();
  const struct rlimit nothing {};
  REQUIRE(::prlimit(worker.pid(), RLIMIT_FSIZE, &nothing, nullptr) == 0);
  daemon.say(order_at(1, plan_noon() + 500ms, 3));
  const auto frames = frames_of(daemon.reports_of(1));
  REQUIRE(frames.size() == 3);
  for (const auto& frame : frames) CHECK(frame.outcome == Outcome::fired);
  CHECK_FALSE(worker.has_ended(0ms));
  CHECK(text_of_file(folder.path("record")) == "");
}

TEST_CASE("a worker whose folder was deleted goes on, and is reached in the one made in its place") {
  const RunFolder folder;
  const Worker worker{folder};
  FakeDaemon daemon{folder};
  daemon.greet();
  // Out of its sight first: it may be just about to look for its socket there.
  std::filesystem::rename(folder.path(), folder.path() + "-gone");
  std::filesystem::remove_all(folder.path() + "-gone");
  daemon.say(order_at(1, plan_noon() + 500ms, 2));
  CHECK(frames_of(daemon.reports_of(1)).size() == 2);
  std::filesystem::create_directory(folder.path());
  const auto until = std::chrono::steady_clock::now() + patience;
  const auto socket = folder.path("rig-0.sock");
  while (!std::filesystem::exists(socket) && std::chrono::steady_clock::now() < until)
    std::this_thread::sleep_for(20ms);
  FakeDaemon next{folder};
  const auto hello = next.greet();
  CHECK(hello.pid == worker.pid());
  CHECK(hello.last_order == 1);
}

TEST_CASE("a worker whose daemon has gone fires what it holds and keeps every report for the next one") {
  const RunFolder folder;
  const Worker worker{folder};
  const auto clock = clock_from_now();
  {
    FakeDaemon daemon{folder};
    daemon.greet(clock);
    daemon.say(order_at(1, plan_noon() + 300ms));
    daemon.say(order_at(2, plan_noon() + 1s, 2));
    const auto first = daemon.reports_of(1);
    daemon.say(Acknowledge{first.front().number});
  }
  FakeDaemon daemon{folder};
  const auto hello = daemon.greet(clock);
  CHECK(hello.last_order == 2);
  CHECK(hello.first_report == 2);
  REQUIRE(hello.held.size() == 2);  // the end of order 1 isn't acknowledged
  CHECK(hello.held[0].order == 1);
  CHECK(hello.held[0].started);
  CHECK(hello.held[1].order == 2);
  const auto reports = daemon.reports_of(2);
  CHECK(numbers(reports) == std::vector<std::int64_t>{2, 3, 4, 5, 6, 7});
  CHECK(frames_of(reports).size() == 3);
  daemon.say(Acknowledge{7});
  FakeDaemon third{folder};
  const auto last = third.greet(clock);
  CHECK(last.first_report == 8);
  CHECK(last.held.empty());
}

TEST_CASE("the daemon that came last is the one that counts") {
  const RunFolder folder;
  const Worker worker{folder};
  FakeDaemon first{folder};
  first.greet();
  FakeDaemon second{folder};
  second.greet();
  CHECK(first.last_words() == std::vector<std::string>{"another daemon has come"});
  second.say(order_at(1, plan_noon()));
  CHECK(frames_of(second.reports_of(1)).size() == 1);
}

TEST_CASE("an order that can't be taken is answered, and the worker lives on") {
  const RunFolder folder;
  const Worker worker{folder};
  FakeDaemon daemon{folder};
  daemon.say(DaemonHello{});
  daemon.say(order_at(1, plan_noon() + 1h));
  CHECK(daemon.next<Refusal>() == Refusal{"the clock comes before the first order", 1});
  daemon.say(clock_from_now());
  daemon.say(order_at(2, plan_noon() + 1h));
  daemon.say(order_at(2, plan_noon() + 1h));
  CHECK(daemon.next<Refusal>() == Refusal{"order 2 isn't newer than order 2, taken before", 2});
  for (std::int64_t id = 3; id <= 6; ++id) daemon.say(order_at(id, plan_noon() + id * 1h));
  CHECK(daemon.next<Refusal>() == Refusal{"order 6 is one too many: 4 are held already", 6});
  for (std::int64_t id = 5; id >= 2; --id) daemon.say(order::Cancel{id, "no more"});
  const auto frames = frames_of(daemon.reports_of(2));
  REQUIRE(frames.size() == 4);
  CHECK(frames[0].outcome == Outcome::cancelled);
  CHECK(frames[0].why == "no more");
}

TEST_CASE("words of a later version are answered and passed over") {
  const RunFolder folder;
  const Worker worker{folder};
  FakeDaemon daemon{folder};
  daemon.greet();
  daemon.send("{\"say\":\"sing\",\"loud\":true}\n");
  CHECK(daemon.next<Refusal>().words ==
        "\"say\" is \"sing\" (wanted: one of \"hello\", \"clock\", \"order\", "
        "\"cancel\", \"recover\", \"due\", \"ack\", \"quit\", \"look\")");
  daemon.send("{\"say\":\"ack\",\"report\":0,\"later\":[1,2]}\n");
  daemon.say(order_at(1, plan_noon()));
  CHECK(frames_of(daemon.reports_of(1)).size() == 1);
}

TEST_CASE("what is no line of ours closes the line with a reason, and the next daemon is served") {
  const RunFolder folder;
  const Worker worker{folder};
  const auto last_words_after = [&](const std::string& bytes, bool greeting) {
    FakeDaemon daemon{folder};
    if (greeting) daemon.say(DaemonHello{});
    daemon.send(bytes);
    return daemon.last_words();
  };
  using Words = std::vector<std::string>;
  CHECK(last_words_after("\x80\xff nonsense\n", true) == Words{"not JSON (wanted: one JSON object)"});
  CHECK(last_words_after("{\"say\":\"ack\"}\n", true) ==
        Words{"\"report\" is missing (wanted: a whole number from 0)"});
  CHECK(last_words_after(std::string(1'000'000, 'x'), true) == Words{"the line is longer than 262144 bytes"});
  CHECK(last_words_after("{\"say\":\"quit\"}\n", false) == Words{"a hello comes first"});
  CHECK(last_words_after("{\"say\":\"hello\",\"version\":0}\n", false) ==
        Words{"version 0 of the protocol isn't spoken here: version 1 is"});
  FakeDaemon daemon{folder};
  daemon.greet();
  daemon.say(order_at(1, plan_noon()));
  CHECK(frames_of(daemon.reports_of(1)).size() == 1);
}

TEST_CASE("silent connections, however many, don't keep a daemon out") {
  const RunFolder folder;
  const Worker worker{folder};
  std::vector<FakeDaemon> silent;
  for (int n = 0; n < 40; ++n) silent.emplace_back(folder);
  FakeDaemon daemon{folder};
  daemon.greet();
  CHECK(silent.front().last_words() ==
        std::vector<std::string>{"too many lines, and nothing was said on this one"});
}

TEST_CASE("a changed clock moves the orders held") {
  const RunFolder folder;
  const Worker worker{folder};
  FakeDaemon daemon{folder};
  daemon.greet();
  daemon.say(order_at(1, plan_noon() + 1h, 1, 5min));
  auto later = clock_from_now();
  later.utc += 1h - 500ms;
  daemon.say(later);
  const auto frames = frames_of(daemon.reports_of(1));
  REQUIRE(frames.size() == 1);
  CHECK(frames[0].outcome == Outcome::fired);
  CHECK(frames[0].opened >= plan_noon() + 1h);
  CHECK(frames[0].opened < plan_noon() + 1h + 5min);
}

TEST_CASE("a hurried clock hurries the body with it") {
  const RunFolder folder;
  const Worker worker{folder};
  FakeDaemon daemon{folder};
  daemon.greet(clock_from_now(600));
  auto order = order_at(1, plan_noon() + 5min);
  order.frames[0].exposure.shutter = {30, 1};
  daemon.say(order);
  const auto frames = frames_of(daemon.reports_of(1));
  REQUIRE(frames.size() == 1);
  CHECK(frames[0].outcome == Outcome::fired);
  CHECK(frames[0].opened >= plan_noon() + 5min);
  CHECK(frames[0].at >= frames[0].opened + 30s);  // the body held its line that long, in plan time
}

TEST_CASE("a worker killed and started again goes on with the card it had") {
  const RunFolder folder;
  const std::vector<std::string> options{"--record", folder.path("record")};
  {
    const Worker worker{folder, options};
    FakeDaemon daemon{folder};
    daemon.greet();
    daemon.say(order_at(1, plan_noon(), 2));
    CHECK(first_files(frames_of(daemon.reports_of(1))) ==
          std::vector<std::string>{"DCIM/100NOONF/NOON0001.RAW", "DCIM/100NOONF/NOON0002.RAW"});
    worker.signal(SIGKILL);
    CHECK(worker.end() == "was killed by signal 9");
  }
  const Worker worker{folder, options};
  FakeDaemon daemon{folder};
  CHECK(daemon.greet().last_order == 0);
  daemon.say(order_at(2, plan_noon()));
  CHECK(first_files(frames_of(daemon.reports_of(2))) ==
        std::vector<std::string>{"DCIM/100NOONF/NOON0003.RAW"});
  CHECK(read_record(text_of_file(folder.path("record"))).size() == 3);
}

TEST_CASE("a worker alone ends by itself, but not before its orders are done") {
  const RunFolder folder;
  const Worker worker{folder, {"--linger", "0.05", "--record", folder.path("record")}};
  {
    FakeDaemon daemon{folder};
    daemon.greet();
    daemon.say(order_at(1, plan_noon() + 500ms, 2));
    daemon.next<NumberedReport>();
  }
  CHECK(worker.end() == "ended with exit code 0");
  CHECK(read_record(text_of_file(folder.path("record"))).size() == 2);
}

TEST_CASE("told to end, a worker finishes its frame and reports it") {
  const RunFolder folder;
  const auto ends_after_its_frame = [&](const auto& tell_to_end) {
    const Worker worker{folder};
    FakeDaemon daemon{folder};
    daemon.greet();
    auto order = order_at(1, plan_noon() + 300ms, 5);
    for (auto& frame : order.frames) frame.exposure.shutter = {1, 1};
    daemon.say(order);
    // The settings stand when the first frame is released; that takes a second.
    while (true) {
      const auto alive = daemon.next<Alive>();
      if (alive.call && alive.call->what == "release") break;
    }
    tell_to_end(worker, daemon);
    std::optional<order::FrameDone> frame;
    while (!frame) {
      const auto said = daemon.next<NumberedReport>();
      if (const auto* done = std::get_if<order::FrameDone>(&said.report)) frame = *done;
    }
    CHECK(frame->outcome == Outcome::fired);
    CHECK(frame->closed - frame->opened == 1s);
    daemon.say(Acknowledge{100});
    CHECK(worker.end() == "ended with exit code 0");
  };
  ends_after_its_frame([](const Worker& worker, FakeDaemon&) { worker.signal(SIGTERM); });
  ends_after_its_frame([](const Worker&, FakeDaemon& daemon) { daemon.say(Quit{}); });
}

TEST_CASE("one worker a body, and one a socket") {
  const RunFolder folder;
  const Worker worker{folder, {"--lock", folder.path("lock")}};
  FakeDaemon daemon{folder};
  daemon.greet();
  CHECK(refusal_of(folder, "--rig 1 --simulate mirrorless-20 --lock '" + folder.path("lock") + "'") ==
        "error: the body is served already: process " + std::to_string(worker.pid()) + " holds " +
            folder.path("lock") + "\n  wanted: one worker a body: end the other one first\n");
  CHECK(has(refusal_of(folder, "--rig 0 --simulate mirrorless-20"), "another process listens there"));
  daemon.say(order_at(1, plan_noon()));
  CHECK(frames_of(daemon.reports_of(1)).size() == 1);
}

TEST_CASE("a fault script strikes at its instants") {
  const RunFolder folder;
  std::ofstream{folder.path("faults")} << "noonfall_faults: 1\n"
                                          "faults:\n"
                                          "  - {rig: long, fault: lost frame, from: 2027-08-02T12:00:00Z, "
                                          "count: 1}\n";
  const Worker worker{folder, {"--faults", folder.path("faults")}};
  FakeDaemon daemon{folder};
  daemon.greet();
  daemon.say(order_at(1, plan_noon(), 2));
  const auto frames = frames_of(daemon.reports_of(1));
  REQUIRE(frames.size() == 2);
  CHECK(frames[0].outcome == Outcome::unknown);
  CHECK(frames[1].outcome == Outcome::fired);
}

TEST_CASE("what a worker can't be started with is said in words") {
  const RunFolder folder;
  CHECK(run_program(NOONFALL_CAMERA, "").exit == 2);
  CHECK(run_program(NOONFALL_CAMERA, "--socket-dir . --rig 0 --simulate a --detune 3").exit == 2);
  const auto unknown = run_program(NOONFALL_CAMERA, "--socket-dir . --rig 0 --simulate mirorless-20");
  CHECK(unknown.exit == 1);
  CHECK(unknown.err == "error: there is no body profile \"mirorless-20\"\n  wanted: mirrorless-20\n");
  const auto nowhere =
      run_program(NOONFALL_CAMERA, "--socket-dir ./nowhere --rig 0 --simulate mirrorless-20");
  CHECK(nowhere.exit == 3);
  CHECK(has(nowhere.err, "can't listen on ./nowhere/rig-0.sock: No such file or directory"));
  std::ofstream{folder.path("faults")} << "noonfall_faults: 1\n"
                                          "faults:\n"
                                          "  - {rig: long, fault: busy, from: C2, count: 1}\n";
  const auto sky = run_program(NOONFALL_CAMERA, "--socket-dir . --rig 0 --simulate mirrorless-20 --faults '" +
                                                    folder.path("faults") + "'");
  CHECK(sky.exit == 1);
  CHECK(has(sky.err, "/faults:3:"));
}
