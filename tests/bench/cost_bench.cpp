// What an unattended run costs: each process's share of a core and resident memory, first waiting in real
// time before the first frame, then over four hours of plan at 60 x. No figure is judged here.
// NOONFALL_BENCH_SECONDS (default 60): how long it waits; it shoots four times as long.
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <map>
#include <string>
#include <thread>

#include <fmt/format.h>
#include <unistd.h>

#include "tests/drill/daemon_process.h"
#include "tests/program/run_program.h"
#include "tests/source_folder.h"

namespace {

using namespace std::chrono_literals;
using namespace noonfall;

struct Cost {
  double cpu_s = 0;
  double resident_mb = 0;
};

Cost cost_of(pid_t pid) {
  Cost cost;
  std::ifstream stat{fmt::format("/proc/{}/stat", pid)};
  std::string text{std::istreambuf_iterator<char>{stat}, {}};
  const auto after_name = text.rfind(')');
  if (after_name == std::string::npos) return cost;
  std::istringstream fields{text.substr(after_name + 2)};
  std::string field;
  for (int number = 3; number <= 15 && fields >> field; ++number) {
    if (number == 14 || number == 15)
      cost.cpu_s += std::stod(field) / static_cast<double>(::sysconf(_SC_CLK_TCK));
  }
  long pages = 0;
  std::ifstream statm{fmt::format("/proc/{}/statm", pid)};
  statm >> field >> pages;
  cost.resident_mb = static_cast<double>(pages) * static_cast<double>(::sysconf(_SC_PAGESIZE)) / 1e6;
  return cost;
}

std::map<std::string, pid_t> processes(const drill::DaemonProcess& daemon) {
  std::map<std::string, pid_t> out{{"noonfalld", daemon.pid()}};
  int number = 0;
  auto workers = daemon.workers();
  std::sort(workers.begin(), workers.end());
  for (const auto pid : workers) out[fmt::format("noonfall-camera {}", ++number)] = pid;
  return out;
}

void measure(const std::string& what, const std::vector<std::string>& arguments, std::chrono::seconds settle,
             std::chrono::seconds span) {
  const tests::ScratchFolder scratch;
  drill::DaemonProcess daemon{NOONFALL_DAEMON, scratch.path("run")};
  daemon.start(arguments);
  std::this_thread::sleep_for(settle);
  const auto found = processes(daemon);
  std::map<std::string, Cost> before;
  for (const auto& [name, pid] : found) before[name] = cost_of(pid);
  std::map<std::string, Cost> last = before;
  std::map<std::string, double> most;
  const auto began = std::chrono::steady_clock::now();
  while (std::chrono::steady_clock::now() - began < span &&
         daemon.log().find(R"("kind":"ended")") == std::string::npos) {
    for (const auto& [name, pid] : found) {
      const auto cost = cost_of(pid);
      if (cost.resident_mb == 0) continue;  // it has ended
      most[name] = std::max(most[name], cost.resident_mb);
      last[name] = cost;
    }
    std::this_thread::sleep_for(1s);
  }
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - began;
  fmt::print("{}, {:.0f} s\n", what, took.count());
  for (const auto& [name, pid] : found) {
    const auto& after = last[name];
    fmt::print("  {:<18} {:5.2f} % of a core, {:5.1f} MB at first, {:5.1f} MB at last, {:5.1f} MB at most\n",
               name, 100 * (after.cpu_s - before[name].cpu_s) / took.count(), before[name].resident_mb,
               after.resident_mb, most[name]);
  }
}

}  // namespace

int main(int argc, char** argv) {
  const bool brief = std::any_of(argv, argv + argc, [](const char* word) {
    return std::strncmp(word, "--benchmark_min_time", 20) == 0;
  });
  const std::string plan = NOONFALL_SOURCE "/tests/bench/four-hours.yaml";
  const char* given = std::getenv("NOONFALL_BENCH_SECONDS");
  const std::chrono::seconds wanted{given == nullptr ? 60 : std::atoi(given)};
  measure("waiting, in real time", {plan, "--simulate", "--move", "C1=+3h"}, brief ? 1s : 5s,
          brief ? 2s : wanted);
  measure("shooting at 60 x", {plan, "--simulate", "--move", "C1=+41min", "--speed", "60"}, brief ? 1s : 3s,
          brief ? 3s : std::min(4 * wanted, std::chrono::seconds{236}));
  return 0;
}
