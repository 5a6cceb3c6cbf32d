#include "tests/drill/kill_drill.h"

#include <csignal>
#include <random>
#include <thread>

#include <fmt/format.h>

#include "tests/drill/daemon_process.h"
#include "tests/program/run_program.h"

namespace noonfall::drill {
namespace {

constexpr std::string_view filter_words = R"("filter":"on","crc")";  // of a cue, not of a step

using namespace std::chrono_literals;
using SteadyTime = std::chrono::steady_clock::time_point;

constexpr auto give_up = 60s;

class Totality {
 public:
  Totality(const DrillSettings& settings, std::mt19937_64& luck, DrillResult& result)
      : settings_{settings}, luck_{luck}, result_{result}, daemon_{settings.daemon, scratch_.path("run")} {}

  void shoot() {
    ++result_.runs;
    daemon_.start({settings_.plan, "--simulate", "--move", "C2=+30s", "--speed",
                   fmt::format("{}", settings_.speed), "--seed", fmt::format("{}", result_.runs)});
    while (!wait_and_see(pause())) {
      if (result_.daemon_kills + result_.worker_kills >= settings_.kills) break;
      strike();
    }
    finish();
    add(result_.verdict, check_run(scratch_.path("run"), {.logs = snapshots_}));
  }

 private:
  std::chrono::milliseconds pause() {
    return std::chrono::milliseconds{std::uniform_int_distribution{100, 1500}(luck_)};
  }

  /// Whether totality, and a minute, are over.
  bool wait_and_see(std::chrono::milliseconds span) {
    std::this_thread::sleep_for(span);
    // Words about a filter, spoken or passed over, come when its window opens and when it closes.
    const auto log = daemon_.log();
    std::size_t words = 0;
    for (auto at = log.find(filter_words); at != std::string::npos; at = log.find(filter_words, at + 1))
      ++words;
    return words >= 2;
  }

  void strike() {
    using Victims = DrillSettings::Victims;
    const bool daemon = settings_.victims == Victims::daemon ||
                        (settings_.victims == Victims::both && std::bernoulli_distribution{0.5}(luck_));
    if (daemon) {
      kill_daemon();
    } else {
      kill_worker();
    }
  }

  void kill_daemon() {
    daemon_.kill(SIGKILL);
    (void)daemon_.wait(give_up);
    snapshots_.push_back(daemon_.log());
    ++result_.daemon_kills;
    std::this_thread::sleep_for(std::chrono::milliseconds{std::uniform_int_distribution{0, 300}(luck_)});
    const auto began = std::chrono::steady_clock::now();
    daemon_.start({});
    if (const auto armed = when_armed(snapshots_.back().size(), began)) result_.armed_after.push_back(*armed);
  }

  /// When both rigs were said to be on the line, by watching the log grow.
  std::optional<std::chrono::microseconds> when_armed(std::size_t from, SteadyTime began) const {
    while (std::chrono::steady_clock::now() - began < give_up) {
      const auto log = daemon_.log();
      const auto now = std::chrono::steady_clock::now();
      std::size_t on_the_line = 0;
      for (const auto* words : {"is on the line again", "\"ready\":true"}) {
        for (auto at = log.find(words, std::min(from, log.size())); at != std::string::npos;
             at = log.find(words, at + 1))
          ++on_the_line;
      }
      if (on_the_line >= 2) return std::chrono::duration_cast<std::chrono::microseconds>(now - began);
      std::this_thread::sleep_for(1ms);
    }
    return std::nullopt;
  }

  void kill_worker() {
    const auto workers = daemon_.workers();
    if (workers.empty()) return;
    ::kill(workers[std::uniform_int_distribution<std::size_t>{0, workers.size() - 1}(luck_)], SIGKILL);
    ++result_.worker_kills;
  }

  void finish() {
    const auto until = std::chrono::steady_clock::now() + give_up * 5;
    while (!wait_and_see(100ms) && std::chrono::steady_clock::now() < until) {
    }
    daemon_.kill(SIGINT);
    if (const auto code = daemon_.wait(give_up); code != 0)
      result_.verdict.broken.push_back(fmt::format("the daemon ended with {}", code.value_or(-1)));
  }

  const DrillSettings& settings_;
  std::mt19937_64& luck_;
  DrillResult& result_;
  tests::ScratchFolder scratch_;
  DaemonProcess daemon_;
  std::vector<std::string> snapshots_;
};

}  // namespace

DrillResult run_drill(const DrillSettings& settings) {
  DrillResult result;
  std::mt19937_64 luck{settings.seed};
  while (result.daemon_kills + result.worker_kills < settings.kills) {
    const auto before = result.daemon_kills + result.worker_kills;
    Totality{settings, luck, result}.shoot();
    if (result.daemon_kills + result.worker_kills == before) {
      result.verdict.broken.emplace_back("a totality went by without a kill");
      break;
    }
  }
  return result;
}

}  // namespace noonfall::drill
