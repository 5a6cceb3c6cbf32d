// The daemon's hold on real worker processes: what it starts, finds again, and replaces.
#include "daemon/posix/boot_time.h"
#include "daemon/worker/worker_link.h"

#include <signal.h>

#include <map>
#include <random>

#include <doctest/doctest.h>

#include "daemon/worker/body_record.h"
#include "lib/body/shipped.h"
#include "tests/program/worker/fake_daemon.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace noonfall::worker;
using namespace std::chrono_literals;
using order::Outcome;

namespace {

WorkerSetup setup_in(const RunFolder& folder, const std::string& profile = "mirrorless-20") {
  WorkerSetup setup;
  setup.executable = NOONFALL_CAMERA;
  setup.folder = folder.path();
  setup.profile = profile;
  setup.body = simulated_identity(*body::find_shipped(profile), {});
  setup.record = folder.path("record");
  setup.lock = folder.path("lock");
  return setup;
}

WorkerSetup fake_in(const RunFolder& folder, const std::string& manner) {
  WorkerSetup setup;
  setup.executable = NOONFALL_FAKE_WORKER;
  setup.folder = folder.path();
  setup.profile = manner;
  setup.body = {"fake", "hash", "serial"};
  return setup;
}

/// A link on a loop of its own, and everything it told.
class Daemon {
 public:
  explicit Daemon(WorkerSetup setup, const ClockMapping& mapping = clock())
      : link_{loop_,
              std::move(setup),
              {[this](const run::Input& input) { take(input); },
               [this](const std::string& note) { notes.push_back(note); }, [this] { return safe; }}} {
    link_.set_clock(mapping);
  }

  /// Lets the loop run until it holds, or fails the test.
  template <class Predicate>
  void run_until(Predicate holds) {
    const auto give_up = std::chrono::steady_clock::now() + patience;
    while (!holds() && std::chrono::steady_clock::now() < give_up) loop_.run_one_for(50ms);
    REQUIRE(holds());
  }
  void run_until_attached(std::size_t times = 1) {
    run_until([&] { return attached.size() >= times; });
  }
  void run_until_done(std::int64_t order) {
    run_until([&] { return done.contains(order); });
  }
  void run_for(std::chrono::milliseconds span) {
    const auto end = std::chrono::steady_clock::now() + span;
    while (std::chrono::steady_clock::now() < end) loop_.run_one_for(1ms);
  }
  int attach() {
    link_.start();
    run_until_attached();
    return link_.status().pid.value();
  }
  void shut_down() {
    bool ended = false;
    link_.shut_down([&] { ended = true; });
    run_until([&] { return ended; });
  }
  WorkerLink& link() { return link_; }

  /// The same for all of one test, as the plan's clock is.
  static ClockMapping clock() {
    static const auto mapping = clock_from_now();
    return mapping;
  }

  std::vector<run::Attached> attached;
  std::vector<order::RigState> states;
  std::vector<order::FrameDone> frames;
  std::map<std::int64_t, int> done;  // by order, how often
  std::vector<std::string> notes;
  bool safe = true;  // what was told so far

 private:
  void take(const run::Input& input) {
    if (const auto* came = std::get_if<run::Attached>(&input)) attached.push_back(*came);
    const auto* report = std::get_if<order::Report>(&input);
    if (report == nullptr) return;
    if (const auto* state = std::get_if<order::RigState>(report)) states.push_back(*state);
    if (const auto* frame = std::get_if<order::FrameDone>(report)) frames.push_back(*frame);
    if (const auto* end = std::get_if<order::OrderDone>(report)) ++done[end->order];
  }

  boost::asio::io_context loop_;
  WorkerLink link_;
};

Utc soon() {
  return Daemon::clock().utc_at(posix::boot_now()) + 500ms;
}

/// Why the rig first wasn't ready.
std::string first_trouble(const Daemon& daemon) {
  REQUIRE_FALSE(daemon.states.empty());
  for (const auto& state : daemon.states) {
    if (!state.ready) return state.why;
  }
  return "none";
}

}  // namespace

TEST_CASE("a link starts its worker, says so, and brings it orders given before") {
  const RunFolder folder;
  Daemon daemon{setup_in(folder)};
  daemon.link().send(order_at(1, soon()));
  daemon.attach();
  REQUIRE(daemon.attached[0].held.size() == 1);  // on its way
  CHECK(daemon.attached[0].held[0].order == 1);
  REQUIRE(daemon.states.size() == 1);
  CHECK(daemon.states[0].ready);
  daemon.run_until_done(1);
  REQUIRE(daemon.frames.size() == 1);
  CHECK(daemon.frames[0].outcome == Outcome::fired);
  CHECK(daemon.link().status().state == LinkStatus::State::attached);
  daemon.shut_down();
  CHECK_FALSE(daemon.link().status().pid);
  CHECK(daemon.states.size() == 1);
}

TEST_CASE("a daemon come back finds its worker, the orders it holds, and every report not yet safe") {
  const RunFolder folder;
  int pid = 0;
  {
    Daemon daemon{setup_in(folder)};
    pid = daemon.attach();
    daemon.link().send(order_at(1, soon(), 2));
    daemon.link().send(order_at(2, soon() + 2s, 2));
    daemon.run_until([&] { return daemon.frames.size() == 1; });
  }
  Daemon daemon{setup_in(folder)};
  CHECK(daemon.attach() == pid);
  CHECK(daemon.states.empty());  // nothing was wrong
  REQUIRE(daemon.attached[0].held.size() == 2);
  CHECK(daemon.attached[0].held[0].order == 1);
  CHECK(daemon.attached[0].held[0].started);
  daemon.run_until_done(2);
  CHECK(daemon.frames.size() == 3);  // the first one was safe
  CHECK(daemon.done == std::map<std::int64_t, int>{{1, 1}, {2, 1}});
  CHECK(read_record(text_of_file(folder.path("record"))).size() == 4);
  daemon.shut_down();
}

TEST_CASE("what a daemon couldn't make safe its worker tells the next one again, and only that") {
  const RunFolder folder;
  {
    Daemon daemon{setup_in(folder)};
    daemon.attach();
    daemon.link().send(order_at(1, soon()));
    daemon.run_until_done(1);
    daemon.safe = false;
    daemon.link().send(order_at(2, soon() + 500ms));
    daemon.run_until_done(2);
    daemon.run_for(500ms);
  }
  {
    Daemon next{setup_in(folder)};
    next.safe = false;
    next.attach();
    next.run_until_done(2);
    CHECK(next.attached[0].last_order == 2);
    CHECK_FALSE(next.done.contains(1));
    next.safe = true;
    next.run_for(500ms);  // and acknowledges them when they have become so
  }
  Daemon last{setup_in(folder)};
  last.attach();
  last.run_for(200ms);
  CHECK(last.done.empty());
  CHECK(last.attached[0].held.empty());
  last.shut_down();
}

TEST_CASE("a killed worker is replaced, and the card goes on where it was") {
  const RunFolder folder;
  Daemon daemon{setup_in(folder)};
  const int pid = daemon.attach();
  daemon.link().send(order_at(1, soon()));
  daemon.run_until_done(1);
  daemon.link().send(order_at(2, soon() + 1h));
  ::kill(pid, SIGKILL);
  daemon.run_until_attached(2);
  CHECK(daemon.attached[1].held.empty());  // lost with the process
  daemon.run_until([&] { return daemon.states.size() == 3; });
  CHECK_FALSE(daemon.states[1].ready);
  CHECK(daemon.states[1].why == "the worker was killed by signal 9");
  CHECK(daemon.states[2].ready);
  CHECK(daemon.link().status().pid.value() != pid);
  daemon.link().send(order_at(3, soon()));
  daemon.run_until_done(3);
  CHECK(daemon.frames.back().files == std::vector<std::string>{"DCIM/100NOONF/NOON0002.RAW"});
  daemon.shut_down();
}

TEST_CASE("a worker that stands still is killed and replaced") {
  const RunFolder folder;
  Daemon daemon{setup_in(folder)};
  const int pid = daemon.attach();
  ::kill(pid, SIGSTOP);
  daemon.run_until_attached(2);
  CHECK(first_trouble(daemon) == "the worker said nothing for 5 s");
  CHECK(daemon.link().status().pid.value() != pid);
  daemon.shut_down();
}

TEST_CASE("whenever daemon and worker die, no picture is taken twice and none reported is missing") {
  const RunFolder folder;
  const auto clock = clock_from_now(20);
  std::mt19937 luck{7};
  const auto any_of = [&](int count) { return static_cast<int>(luck() % static_cast<unsigned>(count)); };
  std::vector<order::FrameDone> fired;
  std::int64_t id = 0;
  for (int life = 0; life < 12; ++life) {
    Daemon daemon{setup_in(folder), clock};
    daemon.attach();
    for (int deaths = any_of(3); deaths >= 0; --deaths) {
      while (daemon.attached.back().held.size() + daemon.done.size() < 2) {
        daemon.link().send(order_at(++id, clock.utc_at(posix::boot_now()) + 1s, 3));
        daemon.attached.back().held.push_back({id, std::nullopt});
      }
      daemon.run_for(std::chrono::milliseconds{any_of(250)});
      const auto attached = daemon.attached.size();
      if (deaths == 0) break;  // of the daemon
      ::kill(daemon.link().status().pid.value(), SIGKILL);
      daemon.run_until_attached(attached + 1);
      daemon.done.clear();
    }
    for (const auto& frame : daemon.frames) {
      if (frame.outcome == Outcome::fired) fired.push_back(frame);
    }
    if (life == 11) daemon.shut_down();
  }
  std::map<order::FrameId, sim::RecordedFrame> truth;
  const auto record = read_record(text_of_file(folder.path("record")));
  for (const auto& picture : record) truth.emplace(picture.id, picture);
  CHECK(truth.size() == record.size());  // none twice
  CHECK(fired.size() > 10);
  for (const auto& frame : fired) {
    REQUIRE(truth.contains(frame.id));
    CHECK(truth.at(frame.id).opened == frame.opened);
    CHECK(truth.at(frame.id).files == frame.files);
  }
}

TEST_CASE("the ladder's last rung is a new worker") {
  const RunFolder folder;
  Daemon daemon{setup_in(folder)};
  const int pid = daemon.attach();
  daemon.link().send(order::Recover{order::Remedy::restart_worker, soon() + 1h});
  daemon.run_until_attached(2);
  CHECK(first_trouble(daemon) == "the worker was to be started anew");
  CHECK(daemon.link().status().pid.value() != pid);
  daemon.shut_down();
}

TEST_CASE("a worker that serves another body is told to quit, and its reports are no news of ours") {
  const RunFolder folder;
  int pid = 0;
  {
    Daemon daemon{setup_in(folder)};
    pid = daemon.attach();
    daemon.link().send(order_at(1, soon()));
    daemon.run_for(100ms);
  }
  {
    FakeDaemon between{folder};
    between.greet(Daemon::clock());
    CHECK_FALSE(between.reports_of(1).empty());  // and they are not acknowledged
  }
  Daemon daemon{setup_in(folder, "mirror-24")};
  CHECK(daemon.attach() != pid);
  REQUIRE_FALSE(daemon.notes.empty());
  CHECK(daemon.notes[0] ==
        "a worker found running serves another body (mirrorless-20, simulated, raw, seed 1, detune 1): it is "
        "told to quit");
  REQUIRE(daemon.states.size() == 1);
  CHECK(daemon.states[0].ready);
  CHECK(daemon.frames.empty());
  CHECK(daemon.done.empty());
  daemon.shut_down();
}

TEST_CASE("an order the worker won't take is reported, frame by frame") {
  const RunFolder folder;
  Daemon daemon{setup_in(folder)};
  daemon.attach();
  for (std::int64_t id = 1; id <= 4; ++id) daemon.link().send(order_at(id, soon() + id * 1h));
  daemon.link().send(order_at(5, soon() + 5h, 2));
  daemon.run_until_done(5);
  REQUIRE(daemon.frames.size() == 2);
  CHECK(daemon.frames[0].outcome == Outcome::failed);
  CHECK(daemon.frames[0].why == "the worker wouldn't take it: order 5 is one too many: 4 are held already");
  auto endless = order_at(6, soon(), static_cast<int>(most_frames) + 1);
  daemon.link().send(endless);
  daemon.run_until_done(6);
  CHECK(daemon.frames.back().why == "the worker wouldn't take it: it is too long for one line");
  daemon.shut_down();
}

TEST_CASE("without a worker orders wait until their last instant has passed") {
  const RunFolder folder;
  auto setup = setup_in(folder);
  setup.executable = folder.path("nothing-here");
  Daemon daemon{setup};
  daemon.link().start();
  daemon.link().send(order_at(1, soon(), 2, 0ms));
  daemon.link().send(order_at(2, soon() + 1h));
  CHECK(daemon.done.empty());
  daemon.run_until_done(1);
  CHECK(first_trouble(daemon) ==
        "the worker can't start " + setup.executable +
            ": No such file or directory (wanted: all programs of noonfall in one folder, and folders that "
            "can be written to)");
  REQUIRE(daemon.frames.size() == 2);
  CHECK(daemon.frames[0].outcome == Outcome::skipped);
  CHECK(daemon.frames[0].why == "no worker held the rig");
  CHECK(daemon.states.size() == 1);
  CHECK(daemon.link().status().state == LinkStatus::State::pausing);
}

TEST_CASE("a worker that talks nonsense is killed and replaced") {
  const std::map<std::string, std::string> reasons{
      {"garbage", "the worker spoke garbage: not JSON (wanted: one JSON object)"},
      {"too long", "the worker spoke garbage: a line is longer than 262144 bytes"},
      {"half line", "the worker ended with exit code 0"},
      {"unknown words",
       "the worker spoke garbage: \"say\" is \"sing\" "
       "(wanted: one of \"hello\", \"report\", \"alive\", \"note\", \"error\", \"picture\")"},
      {"overdue", "the worker hung in a call to the body (release, 10"},  // … s so far
      {"dies", "the worker ended with exit code 7"}};
  for (const auto& [manner, reason] : reasons) {
    CAPTURE(manner);
    const RunFolder folder;
    Daemon daemon{fake_in(folder, manner)};
    daemon.link().start();
    daemon.run_until([&] {
      for (const auto& state : daemon.states) {
        if (!state.ready) return true;
      }
      return false;
    });
    CHECK(first_trouble(daemon).substr(0, reason.size()) == reason);
    if (manner != "dies") daemon.run_until_attached(2);
    daemon.shut_down();
  }
}

TEST_CASE("a worker that hasn't come on the line has no frame to finish, and nobody waits for it") {
  const RunFolder folder;
  Daemon daemon{fake_in(folder, "never there")};
  daemon.link().start();
  daemon.run_until([&] { return std::filesystem::exists(folder.path("asleep")); });
  // Now: before it counts as hung.
  daemon.shut_down();
  CHECK_FALSE(std::filesystem::exists(folder.path("awake")));
}

TEST_CASE("a worker of another version is replaced") {
  const RunFolder folder;
  Daemon daemon{fake_in(folder, "old version")};
  daemon.link().start();
  daemon.run_until([&] { return !daemon.notes.empty(); });
  CHECK(daemon.notes[0] == "a worker found running speaks version 0 of the protocol: it is told to quit");
  daemon.shut_down();
}

TEST_CASE("nothing of the daemon reaches a worker but what it is told") {
  const RunFolder folder;
  ::setenv("CAMLIBS", "/somewhere", 1);
  const std::ofstream open_elsewhere{folder.path("a file of the daemon")};
  Daemon daemon{fake_in(folder, "silent")};
  daemon.attach();
  ::unsetenv("CAMLIBS");
  CHECK(text_of_file(folder.path("description")) ==
        "LC_ALL=C\nTZ=UTC\nPATH=/usr/local/bin:/usr/bin:/bin\nHOME=" + folder.path("rig-0.home") +
            "\nleads its session: 1\nopen: null\nopen: null\nopen: rig-0.stderr\n");
  CHECK(std::filesystem::is_directory(folder.path("rig-0.home")));
  daemon.shut_down();
}
