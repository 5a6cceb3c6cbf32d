#include "daemon/cli/rehearse_odds.h"

#include <algorithm>
#include <atomic>
#include <ostream>
#include <thread>
#include <vector>

#include "daemon/cli/progress_line.h"

namespace noonfall::cli {
namespace {

/// By trial. The calling thread works too, and shows how far all are.
std::vector<sim::Harvest> reap(const TrialsRequest& request, const timeline::Timeline& timeline,
                               const run::Facts& facts, ProgressLine& progress) {
  std::vector<sim::Harvest> harvests(static_cast<std::size_t>(request.trials));
  std::atomic<std::size_t> next{0};
  const auto work = [&](const auto& tell) {
    for (auto n = next++; n < harvests.size(); n = next++) {
      harvests[n] = sim::harvest(timeline, facts, request.chances, n);
      tell(static_cast<int>(n));
    }
  };
  const auto usual = static_cast<int>(std::max(1U, std::thread::hardware_concurrency()));
  std::vector<std::jthread> others;
  for (int n = 1; n < (request.threads > 0 ? request.threads : usual); ++n)
    others.emplace_back([&work] { work([](int) {}); });
  work([&](int n) { progress.show("rehearsing", n, request.trials, "trials"); });
  others.clear();  // waits
  progress.show("rehearsing", request.trials, request.trials, "trials");
  progress.end();
  return harvests;
}

}  // namespace

void rehearse_odds(const TrialsRequest& request, const timeline::Timeline& timeline, const run::Facts& facts,
                   Context& context) {
  ProgressLine progress{context.err};
  const auto odds = sim::odds_of(timeline, reap(request, timeline, facts, progress));
  context.out << (request.json ? odds_json(odds, request.chances)
                               : odds_text(odds, timeline, request.chances));
  if (odds.strayed > 0) context.exit = Exit::work_has_errors;
}

}  // namespace noonfall::cli
