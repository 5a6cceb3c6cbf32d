#include "tests/drill/day_drill.h"

#include <algorithm>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>
#include <stdexcept>
#include <thread>

#include <fmt/format.h>

#include <sys/wait.h>

#include "daemon/posix/process.h"
#include "daemon/worker/body_record.h"
#include "tests/drill/daemon_process.h"
#include "tests/stories/plan_text.h"

namespace noonfall::drill {
namespace {

namespace fs = std::filesystem;
using namespace std::chrono_literals;
using std::chrono::milliseconds;

constexpr auto give_up = 60s;
constexpr Duration before_c2 = 48s;
constexpr const char* full_disk = "full-disk";

/// An invented field under an eclipse to come, where totality is short: a run isn't over before it was said
/// that sunlight returns.
constexpr const char* plan_text = R"(noonfall: 1
title: A day
eclipse: 2060-04-30
site: {{latitude: 39, longitude: 39, elevation: 900 m}}
rigs:
{}steps:
{})";
constexpr const char* rig_text = R"(  {0}:
    body: {{serial: "{1}", profile: mirrorless-20}}
    lens: {{focal_length: 400 mm}}
    mount: tracking
    exposure: {{aperture: f/8, iso: 400}}
    filter: {{density: 5.0, opens: C2 - 10 s, closes: C2 + 30 s, handling: 4 s}}
)";
constexpr const char* steps_text =
    R"(  - {{name: crescent {0}, rig: {0}, subject: photosphere, from: C2 - 40 s, until: C2 - 12 s,
     every: 2 s, patience: 1 s, exposure: {{shutter: 1/500}}}}
  - {{name: corona {0}, rig: {0}, subject: corona 0.1 to 2, from: C2 - 1 s, until: C2 + 21 s,
     every: back to back, bracket: {{from: 1/1000, to: 1/8, by: 2 stops}}}}
  - {{name: flat {0}, rig: {0}, subject: photosphere, from: C2 + 33 s, until: C2 + 50 s,
     every: 2 s, patience: 1 s, exposure: {{shutter: 1/500}}}}
)";

const std::vector<std::pair<std::string, std::string>> rigs{{"long", "3000001"}, {"short", "3000002"}};

/// Every rig hangs on a cable, and one person takes the filters off and puts them back on.
std::string plan_of_the_day() {
  std::string rig_texts;
  std::string step_texts;
  for (const auto& [name, serial] : rigs) {
    rig_texts += fmt::format(rig_text, name, serial);
    step_texts += fmt::format(steps_text, name);
  }
  return fmt::format(plan_text, rig_texts, step_texts);
}

Utc machine_now() {
  return std::chrono::floor<std::chrono::microseconds>(std::chrono::system_clock::now());
}

class Day {
 public:
  Day(const DayDrill& drill, std::mt19937_64& luck, DayResult& result)
      : drill_{drill}, luck_{luck}, result_{result} {
    for (const auto* folder : {"runtime", "bus"}) fs::create_directory(scratch_.path(folder));
    watched_.timeline = &timeline_;
    for (std::size_t rig = 0; rig < rigs.size(); ++rig) plug_in(rig);
    watched_.bodies.resize(bodies_.size());
  }
  ~Day() {
    for (const auto& body : bodies_) {
      body.signal(SIGKILL);
      ::waitpid(body.pid(), nullptr, 0);
    }
  }
  Day(const Day&) = delete;
  Day& operator=(const Day&) = delete;

  void shoot() {
    ++result_.days;
    start({scratch_.file("plan.yaml", plan_of_the_day()), "--limb", "mean"});
    while (!over(20ms) && !vouched_for_clock()) {
    }
    while (!over(pause(300ms, 4s)) && (result_.kills() < drill_.kills || result_.freezes() < drill_.freezes))
      strike();
    finish();
    for (std::size_t rig = 0; rig < bodies_.size(); ++rig)
      watched_.bodies[rig].taken = worker::read_record(tests::text_of_file(record_of(rig)));
    watched_.screen = tests::text_of_file(folder_ + ".out");
    add(result_.verdict, check_run(folder_, watched_));
  }

 private:
  [[nodiscard]] Utc now() const { return machine_now() + ahead_; }
  [[nodiscard]] std::string record_of(std::size_t rig) const {
    return scratch_.path(fmt::format("body-{}.taken", rig));
  }

  void plug_in(std::size_t rig) {
    const auto name = fmt::format("body-{}", rig);
    auto process = posix::Process::start(
        {drill_.body,
         {"--bus-dir", scratch_.path("bus"), "--name", name, "--bus", fmt::format("{}", rig + 1), "--family",
          rig == 0 ? "b" : "a", "--serial", rigs[rig].second, "--simulate", "mirrorless-20", "--record",
          record_of(rig)},
         scratch_.path(name + ".home"),
         scratch_.path(name + ".err"),
         {fmt::format("LD_PRELOAD={}", SHIFTED_CLOCK), fmt::format("NOONFALL_TEST_SHIFT={}", ahead_.count()),
          "ASAN_OPTIONS=verify_asan_link_order=0"}});
    if (!process) throw std::runtime_error{to_text(process.error())};
    bodies_.push_back(std::move(*process));
  }

  [[nodiscard]] bool vouched_for_clock() const {
    return tests::run_program(program_, fmt::format("--state '{}' --tell clock ok", folder_)).exit == 0;
  }

  milliseconds pause(milliseconds least, milliseconds most) {
    return milliseconds{std::uniform_int_distribution{least.count(), most.count()}(luck_)};
  }
  bool in(int percent) { return std::uniform_int_distribution{1, 100}(luck_) <= percent; }

  bool over(milliseconds span) {
    std::this_thread::sleep_for(span);
    if (!exit_) exit_ = daemon_.wait(0ms);
    return exit_.has_value();
  }

  /// Kills and freezes come out even over the days.
  void strike() {
    const int kills = drill_.kills - result_.kills();
    const int freezes = drill_.freezes - result_.freezes();
    if (std::uniform_int_distribution{1, std::max(kills, 0) + std::max(freezes, 0)}(luck_) > kills)
      return freeze();
    if (in(60)) {
      kill_daemon();
    } else {
      kill_workers(1);
    }
    share_disk();
  }

  void kill_daemon() {
    if (in(15)) kill_workers(2);
    daemon_.kill(SIGKILL);
    if (!daemon_.wait(give_up)) throw std::runtime_error{"the daemon doesn't die"};
    note(stories::Ended{});
    count(result_.daemon_kills);
    watched_.logs.push_back(daemon_.log());
    for (const auto& file : fs::recursive_directory_iterator{scratch_.path("runtime")}) {
      if (file.is_regular_file()) watched_.elsewhere.push_back(tests::text_of_file(file.path().string()));
    }
    if (in(50)) share_disk();
    std::this_thread::sleep_for(pause(0ms, 1500ms));
    start({});
  }

  void count(int& kills) {
    ++kills;
    result_.under_full_disk += is_full() ? 1 : 0;
  }

  void kill_workers(int most) {
    auto workers = daemon_.workers();
    std::shuffle(workers.begin(), workers.end(), luck_);
    for (const auto worker : workers) {
      if (most-- <= 0) break;
      ::kill(worker, SIGKILL);
      count(result_.worker_kills);
    }
  }

  void freeze() {
    switch (std::uniform_int_distribution{0, 2}(luck_)) {
      case 0:
        ++result_.daemon_freezes;
        note(stories::Stalled{});
        stand_still(daemon_.pid(), 4s);
        return note(stories::WentOn{});
      case 1: {
        const auto workers = daemon_.workers();
        if (workers.empty()) return;
        ++result_.worker_freezes;
        return stand_still(workers[luck_() % workers.size()], 8s);
      }
      default: {
        const auto rig = luck_() % bodies_.size();
        ++result_.body_freezes;
        const auto from = now();
        stand_still(bodies_[rig].pid(), 8s);
        watched_.bodies[rig].stood_still.emplace_back(from, now());
      }
    }
  }

  void stand_still(pid_t pid, milliseconds most) {
    ::kill(pid, SIGSTOP);
    std::this_thread::sleep_for(pause(100ms, most));
    ::kill(pid, SIGCONT);
  }

  [[nodiscard]] bool is_full() const { return fs::exists(scratch_.path(full_disk)); }
  /// So that every second kill comes while it is full.
  void share_disk() {
    const bool full = 2 * result_.under_full_disk < result_.kills();
    if (full) {
      (void)scratch_.file(full_disk, "");
    } else {
      fs::remove(scratch_.path(full_disk));
    }
  }

  void start(const std::vector<std::string>& arguments) {
    note(stories::Began{});
    daemon_.start(arguments);
  }
  void note(decltype(stories::Moment::what) what) {
    watched_.moments.push_back({now(), {}, {}, std::move(what)});
  }

  void finish() {
    const bool full = fs::remove(scratch_.path(full_disk));
    if (!exit_) exit_ = daemon_.wait(5 * give_up);
    if (full && exit_ == 0) {  // what had no room is written by whoever opens the run next
      start({});
      exit_ = daemon_.wait(give_up);
    }
    if (exit_ != 0)
      result_.verdict.broken.push_back(fmt::format("the daemon ended with {}", exit_.value_or(-1)));
  }

  const DayDrill& drill_;
  std::mt19937_64& luck_;
  DayResult& result_;
  timeline::Timeline timeline_ = stories::timeline_on_the_day(plan_of_the_day()).value();
  Duration ahead_ = timeline_.circumstances.at(contacts::ContactName::c2)->utc - before_c2 - machine_now();
  tests::ScratchFolder scratch_;
  tests::Variable runtime_{"XDG_RUNTIME_DIR", scratch_.path("runtime")};
  tests::Variable state_{"XDG_STATE_HOME", scratch_.path("state")};
  tests::Variable bus_{"NOONFALL_BODIES", scratch_.path("bus")};
  tests::Variable drivers_{"IOLIBS", drill_.camera_drivers};
  std::string folder_ = scratch_.path("run");
  std::string program_ = program_on_a_day(scratch_, drill_.daemon, ahead_);
  std::vector<posix::Process> bodies_;
  DaemonProcess daemon_{program_, folder_};
  std::optional<int> exit_;
  Watched watched_;
};

}  // namespace

std::string program_on_a_day(const tests::ScratchFolder& scratch, const std::string& daemon, Duration ahead) {
  const auto path = scratch.file(
      "noonfalld",
      fmt::format("#!/bin/sh\n"
                  "ASAN_OPTIONS=verify_asan_link_order=0:$ASAN_OPTIONS LD_PRELOAD='{}' "
                  "NOONFALL_TEST_SHIFT={} NOONFALL_TEST_FULL_DISK='{}' exec '{}' --voice none \"$@\"\n",
                  SHIFTED_CLOCK, ahead.count(), scratch.path(full_disk), daemon));
  fs::permissions(path, fs::perms::owner_all);
  return path;
}

DayResult run_day_drill(const DayDrill& drill) {
  DayResult result;
  std::mt19937_64 luck{drill.seed};
  while (result.kills() < drill.kills || result.freezes() < drill.freezes) {
    const auto before = result.kills() + result.freezes();
    Day{drill, luck, result}.shoot();
    if (result.kills() + result.freezes() == before) {
      result.verdict.broken.emplace_back("a day went by without a strike");
      break;
    }
  }
  return result;
}

}  // namespace noonfall::drill
