// Whether rigs at one machine cost each other frames: the complete sets of healthy rigs among two and among
// six, of which one's worker is killed again and again, one's hangs and one's body lies, beside those of one
// rig alone. Prints the least share; the bar is 95 %.
#include <algorithm>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include <unistd.h>

#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include "tests/drill/daemon_process.h"

namespace {

using namespace std::chrono_literals;

constexpr auto until_begin = 15s;
/// NOONFALL_BENCH_SECONDS; fewer only show that it runs.
const std::chrono::seconds shooting{
    std::getenv("NOONFALL_BENCH_SECONDS") == nullptr ? 30 : std::atoi(std::getenv("NOONFALL_BENCH_SECONDS"))};
constexpr int frames_in_set = 3;

enum class Ill { no, dies, hangs, lies };

std::string plan_of(const std::vector<Ill>& rigs) {
  std::string text =
      "noonfall: 1\ntitle: Rigs at once\neclipse: 2027-08-02\n"
      "site: {latitude: 36.0139, longitude: -5.6033, elevation: 12 m}\nrigs:\n";
  for (std::size_t n = 0; n < rigs.size(); ++n)
    text += fmt::format(
        "  r{}:\n    body: {{simulate: mirrorless-20}}\n    lens: {{focal_length: 600 mm}}\n"
        "    mount: tracking\n    exposure: {{aperture: f/8, iso: 200}}\n    files: raw\n    filter: "
        "{{density: 5.0}}\n",
        n);
  text +=
      "steps:\n  - name: crescent\n    rigs: all\n    subject: photosphere\n    every: back to back\n"
      "    from: C1 + 5 s\n    until: C1 + 35 s\n    bracket: {from: 1/4000, to: 1/1000, by: 1 stop}\n";
  return text;
}

/// Answers that never come and releases that aren't done, all the time.
std::string lies_of(std::size_t rig) {
  return fmt::format(
      "noonfall_faults: 1\nfaults:\n"
      "  - {{rig: r{0}, fault: lost frame, answer: no word, from: C1 + 5 s, for: 30 s}}\n"
      "  - {{rig: r{0}, fault: busy, from: C1 + 15 s, for: 5 s}}\n",
      rig);
}

void signal_worker(const std::string& run, std::size_t rig, int signal) {
  pid_t pid = 0;
  std::ifstream{fmt::format("{}/rig-{}.lock", run, rig)} >> pid;
  if (pid > 1) ::kill(pid, signal);
}

/// Sets of which every frame was fired, by rig.
std::map<std::string, int> complete_sets(const std::string& log) {
  std::map<std::pair<std::string, std::string>, int> fired;
  std::ifstream file{log};
  const auto member = [](const std::string& line, const std::string& name) {
    const auto at = line.find("\"" + name + "\":\"");
    if (at == std::string::npos) return std::string{};
    const auto from = at + name.size() + 4;
    return line.substr(from, line.find('"', from) - from);
  };
  for (std::string line; std::getline(file, line);) {
    if (member(line, "kind") != "outcome" || member(line, "result") != "fired") continue;
    const auto frame = member(line, "frame");
    ++fired[{member(line, "rig"), frame.substr(0, frame.find('.'))}];
  }
  std::map<std::string, int> sets;
  for (const auto& [set, frames] : fired) sets[set.first] += frames == frames_in_set ? 1 : 0;
  return sets;
}

/// The complete sets of the healthy rig that has the fewest; none when the daemon doesn't come to its end.
std::optional<int> least_sets(const std::vector<Ill>& rigs) {
  const auto folder =
      std::filesystem::temp_directory_path() / fmt::format("noonfall-rigs-bench-{}", ::getpid());
  std::filesystem::create_directories(folder);
  const auto run = (folder / "run").string();
  const auto plan = (folder / "plan.yaml").string();
  std::ofstream{plan} << plan_of(rigs);
  std::vector<std::string> arguments{
      plan, "--simulate", "--move", fmt::format("C1=+{}s", until_begin.count()), "--page", "127.0.0.1:0"};
  for (std::size_t n = 0; n < rigs.size(); ++n) {
    if (rigs[n] != Ill::lies) continue;
    std::ofstream{folder / "faults.yaml"} << lies_of(n);
    arguments.insert(arguments.end(), {"--faults", (folder / "faults.yaml").string()});
  }
  noonfall::drill::DaemonProcess daemon{NOONFALL_DAEMON, run};
  daemon.start(arguments);
  std::this_thread::sleep_for(until_begin + 5s);
  for (std::chrono::seconds left = shooting; left > 0s; left -= 2s) {
    for (std::size_t n = 0; n < rigs.size(); ++n) {
      if (rigs[n] == Ill::dies) signal_worker(run, n, SIGKILL);
      if (rigs[n] == Ill::hangs) signal_worker(run, n, SIGSTOP);
    }
    std::this_thread::sleep_for(2s);
  }
  daemon.kill(SIGINT);
  const bool ended = daemon.wait(std::chrono::seconds{40}).has_value();
  auto sets = complete_sets(run + "/shots.jsonl");
  std::optional<int> least;
  for (std::size_t n = 0; n < rigs.size(); ++n)
    if (rigs[n] == Ill::no) least = std::min(least.value_or(1 << 20), sets[fmt::format("r{}", n)]);
  std::filesystem::remove_all(folder);
  return ended ? least : std::nullopt;
}

void rigs_at_once(benchmark::State& state) {
  for (auto _ : state) {
    const auto one = least_sets({Ill::no});
    const auto of_two = least_sets({Ill::no, Ill::dies});
    const auto of_six = least_sets({Ill::no, Ill::dies, Ill::hangs, Ill::lies, Ill::no, Ill::no});
    if (!one || !of_two || !of_six || *one == 0) return state.SkipWithError("a run came to nothing");
    state.counters["sets_alone"] = *one;
    state.counters["share_of_two"] = static_cast<double>(*of_two) / *one;
    state.counters["share_of_six"] = static_cast<double>(*of_six) / *one;
  }
}
BENCHMARK(rigs_at_once)->Iterations(1)->UseRealTime()->Unit(benchmark::kSecond);

}  // namespace
