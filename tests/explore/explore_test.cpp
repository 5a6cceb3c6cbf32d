// Every way a short run can go in which at most so many things go wrong, each told to its end and judged by
// what was seen from outside. NOONFALL_DEPTH=3 lets three things go wrong; usually two do.
#include <cstdlib>
#include <iostream>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "tests/explore/world.h"
#include "tests/stories/promises.h"
#include "tests/unit/run/fixture.h"

using namespace noonfall;
using namespace noonfall::explore;
using namespace std::chrono_literals;

namespace {

/// A filtered frame before the window, two sets of two in it, a filtered one after.
timeline::Timeline short_plan() {
  auto timeline = run::timeline_with_window();
  timeline.circumstances.eclipse = std::chrono::year{2027} / 8 / 2;
  timeline.circumstances.kind = contacts::Kind::total;
  auto& rig = timeline.rigs.front();
  rig.profile.name = "invented";
  rig.profile.choices.shutters = {{1, 500}, {2, 1}, {4, 1}};
  rig.window = {run::at(14s), run::at(22s), run::at(28s), run::at(36s)};
  timeline.cues[0].ends = run::at(14s);
  timeline.cues[1].ends = run::at(28s);
  auto before = run::targets("before", {5s});
  before.until = run::at(10s);
  auto corona = run::back_to_back("corona", 22s, 24s);
  corona.filtered = false;
  corona.predicted_sets = 2;
  auto last = run::targets("last", {27'200ms});
  last.filtered = false;
  last.until = run::at(28s);
  auto after = run::targets("after", {40s});
  rig.steps = {before, corona, last, after};
  for (auto& step : rig.steps) step.mark = {1, 1};
  return timeline;
}

struct Explored {
  std::size_t runs = 0;
  std::size_t decisions = 0;
  std::size_t shots = 0;
  std::size_t most_decisions = 0;
};

/// Depth first; a run that breaks a promise is told of, with what went wrong in it.
Explored every_run(const timeline::Timeline& timeline, std::size_t depth) {
  Explored out;
  struct Open {
    std::vector<std::size_t> script;
    std::size_t wrong;
  };
  std::vector<Open> open{{{}, 0}};
  while (!open.empty()) {
    const auto [script, wrong] = std::move(open.back());
    open.pop_back();
    Choices choices{script};
    const auto record = tell(timeline, run::at(0s), choices);
    const auto broken = stories::broken_promises(record);
    CHECK_MESSAGE(broken.empty(), fmt::format("{}: {}", fmt::join(script, " "), fmt::join(broken, "; ")));
    const auto& ways = choices.ways();
    ++out.runs;
    out.decisions += ways.size() - script.size();
    out.most_decisions = std::max(out.most_decisions, ways.size());
    for (const auto& moment : record.moments)
      out.shots += std::holds_alternative<stories::Shot>(moment.what) ? 1 : 0;
    if (wrong == depth) continue;
    for (auto at = script.size(); at < ways.size(); ++at) {
      for (std::size_t way = 1; way < ways[at]; ++way) {
        auto next = script;
        next.resize(at);
        next.push_back(way);
        open.push_back({std::move(next), wrong + 1});
      }
    }
  }
  return out;
}

}  // namespace

TEST_CASE("whatever goes wrong, and then again, the promises of a short run are kept") {
  const auto* asked = std::getenv("NOONFALL_DEPTH");
  const auto depth = asked == nullptr ? 2 : std::strtoull(asked, nullptr, 10);
  const auto explored = every_run(short_plan(), depth);
  const auto figures = fmt::format("{} runs, {} decisions, at most {} in one, {} pictures", explored.runs,
                                   explored.decisions, explored.most_decisions, explored.shots);
  std::cout << figures << '\n';
  CHECK_MESSAGE(explored.runs > 1'000, figures);
  CHECK_MESSAGE(explored.shots > explored.runs, figures);
}
