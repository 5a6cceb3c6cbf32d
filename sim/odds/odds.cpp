#include "sim/odds/odds.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace noonfall::sim {
namespace {

constexpr double low_share = 0.05;

double share(std::size_t count, std::size_t of) {
  return of == 0 ? 0 : static_cast<double>(count) / static_cast<double>(of);
}

/// How many of the harvests are so.
std::size_t count(std::span<const Harvest> harvests, const auto& is_so) {
  return static_cast<std::size_t>(std::count_if(harvests.begin(), harvests.end(), is_so));
}

Quantiles quantiles_of(std::span<const Harvest> harvests, const auto& value) {
  std::vector<int> values;
  for (const auto& harvest : harvests) values.push_back(value(harvest));
  return quantiles(std::move(values));
}

StepOdds odds_of(const timeline::RigTimeline& rig, const timeline::RigStep& step, std::size_t n,
                 std::span<const Harvest> harvests) {
  StepOdds odds;
  odds.rig = rig.name;
  odds.step = step.name;
  odds.planned_frames = step.predicted_frames();
  odds.planned_sets = step.back_to_back ? step.predicted_sets : static_cast<int>(step.targets.size());
  odds.frames = quantiles_of(harvests, [n](const Harvest& each) { return each.steps[n].frames; });
  odds.sets = quantiles_of(harvests, [n](const Harvest& each) { return each.steps[n].whole_sets; });
  const auto any = count(harvests, [n](const Harvest& each) { return each.steps[n].whole_sets > 0; });
  odds.any_set = share(any, harvests.size());
  if (step.subject.kind == exposure::SubjectKind::beads) {
    const auto caught = count(harvests, [n](const Harvest& each) { return each.steps[n].beads_caught; });
    odds.beads_caught = share(caught, harvests.size());
  }
  return odds;
}

FaultCost cost_of(RatedFault kind, std::span<const Harvest> harvests) {
  FaultCost cost;
  cost.kind = kind;
  int struck = 0;
  for (const auto& harvest : harvests) {
    for (const auto& loss : harvest.losses) {
      if (loss.kind != kind) continue;
      ++struck;
      cost.frames += loss.frames;
      cost.emptied += loss.emptied;
      cost.most = std::max(cost.most, loss.frames);
    }
  }
  if (struck == 0) return cost;
  cost.struck = static_cast<double>(struck) / static_cast<double>(harvests.size());
  cost.frames /= struck;
  cost.emptied /= struck;
  return cost;
}

}  // namespace

Quantiles quantiles(std::vector<int> values) {
  assert(!values.empty());
  std::sort(values.begin(), values.end());
  const auto at = [&](double part) {
    const auto rank = std::ceil(part * static_cast<double>(values.size()));
    return values[static_cast<std::size_t>(std::max(rank, 1.0)) - 1];
  };
  return {at(0.5), at(low_share), values.front()};
}

Odds odds_of(const timeline::Timeline& timeline, std::span<const Harvest> harvests) {
  Odds odds;
  odds.trials = static_cast<int>(harvests.size());
  odds.planned_frames = timeline.predicted_frames();
  const auto rows = rows_of(timeline);
  for (std::size_t n = 0; n < rows.size(); ++n)
    odds.steps.push_back(
        odds_of(timeline.rigs[rows[n].rig], timeline.rigs[rows[n].rig].steps[rows[n].step], n, harvests));
  odds.frames = quantiles_of(harvests, [](const Harvest& each) { return each.frames(); });
  odds.strayed =
      share(count(harvests, [](const Harvest& each) { return each.strayed > 0; }), harvests.size());
  for (const auto kind : all_rated_faults) {
    auto cost = cost_of(kind, harvests);
    if (cost.struck > 0) odds.costs.push_back(cost);
  }
  std::stable_sort(odds.costs.begin(), odds.costs.end(), [](const FaultCost& a, const FaultCost& b) {
    return a.frames_a_day() > b.frames_a_day();
  });
  return odds;
}

}  // namespace noonfall::sim
