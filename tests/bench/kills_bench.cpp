// Two hundred kills of daemon and workers at random instants of totality. Prints what came of it and how soon
// a new daemon was armed; no figure is judged here, but a broken promise is an error.
#include <algorithm>
#include <cstdio>
#include <cstring>

#include <fmt/format.h>

#include "tests/drill/kill_drill.h"
#include "tests/source_folder.h"

namespace {

using namespace noonfall::drill;

/// A short run asked for, as to Google Benchmark: only that it works.
bool is_short(int argc, char** argv) {
  return std::any_of(argv, argv + argc,
                     [](const char* word) { return std::strncmp(word, "--benchmark_min_time", 20) == 0; });
}

void print(const DrillSettings& settings, const DrillResult& result) {
  auto armed = result.armed_after;
  std::sort(armed.begin(), armed.end());
  const auto at = [&](double share) {
    if (armed.empty()) return 0.0;
    return static_cast<double>(
               armed[static_cast<std::size_t>(share * static_cast<double>(armed.size() - 1))].count()) /
           1e6;
  };
  const auto& v = result.verdict;
  fmt::print("{:g} x: {} kills of the daemon, {} of workers, in {} totalities\n", settings.speed,
             result.daemon_kills, result.worker_kills, result.runs);
  fmt::print(
      "  {} frames asked for, {} fired by the log, {} taken by the bodies, {} unknown ({} of them taken)\n",
      v.intended, v.fired, v.taken, v.unknown, v.unknown_taken);
  fmt::print("  armed after exec, s: p50 {:.3f}, p99 {:.3f}, worst {:.3f} (bar: 2)\n", at(0.5), at(0.99),
             at(1));
  fmt::print("  promises broken: {}\n", v.broken.size());
  for (const auto& what : v.broken) fmt::print("    {}\n", what);
}

}  // namespace

int main(int argc, char** argv) {
  const bool brief = is_short(argc, argv);
  DrillSettings settings{NOONFALL_DAEMON,
                         NOONFALL_SOURCE "/plans/two-rigs-2027.yaml",
                         brief ? 4 : 200,
                         10,
                         1,
                         DrillSettings::Victims::both};
  if (brief) settings.speed = 30;
  const auto result = run_drill(settings);
  print(settings, result);
  return result.verdict.broken.empty() ? 0 : 1;
}
