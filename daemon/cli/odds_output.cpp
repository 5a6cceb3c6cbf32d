#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "daemon/cli/rehearse_odds.h"
#include "lib/base/code_points.h"
#include "lib/json/json.h"

namespace noonfall::cli {
namespace {

using nlohmann::ordered_json;

/// Never "100 %" of what failed once, nor "0 %" of what happened once.
std::string percent(double share) {
  const double shown = std::round(share * 1000) / 10;
  if (share < 1 && shown >= 100) return ">99.9 %";
  if (share > 0 && shown <= 0) return "<0.1 %";
  return fmt::format("{:g} %", shown);
}

std::string padded(const std::string& text, std::size_t width) {
  return text + std::string(width - std::min(width, code_points(text)), ' ');
}

std::string three(const sim::Quantiles& of) {
  return fmt::format("{:>6}{:>6}{:>6}", of.median, of.low, of.worst);
}

std::string head(const sim::Odds& odds, const timeline::Timeline& timeline, const sim::Chances& chances) {
  const auto& rates = chances.rates;
  const auto pace = chances.fastest == chances.slowest
                        ? fmt::format("{:g}", chances.fastest)
                        : fmt::format("{:g} to {:g}", chances.fastest, chances.slowest);
  return fmt::format(
      "{}: {} trials on simulated bodies\n"
      "  pace      the bodies' own times are {} of their profiles'\n"
      "  contacts  as uncertain as computed\n"
      "  faults    of each rig {:g} % of the frames get lost; {:g} times an hour it is gone for 10 s, {:g} "
      "times "
      "its card is slow\n",
      timeline.title, odds.trials, pace, rates.lost_frame * 100, rates.gone_an_hour, rates.slow_card_an_hour);
}

std::string table(const sim::Odds& odds) {
  std::size_t rig = 3;
  std::size_t step = 4;
  for (const auto& each : odds.steps) {
    rig = std::max(rig, code_points(each.rig));
    step = std::max(step, code_points(each.step));
  }
  const std::string margin(rig + step + 4, ' ');
  auto out = fmt::format("{}{:>14}{:>18}{:>18}{:>12}\n", margin, "planned", "frames taken", "complete sets",
                         "at least");
  out += fmt::format("{}  {}  {:>8}{:>6}{:>6}{:>6}{:>6}{:>6}{:>6}{:>6}{:>12}\n", padded("rig", rig),
                     padded("step", step), "frames", "sets", "half", "5 %", "worst", "half", "5 %", "worst",
                     "one set");
  for (const auto& each : odds.steps) {
    out += fmt::format("{}  {}  {:>8}{:>6}{}{}{:>12}\n", padded(each.rig, rig), padded(each.step, step),
                       each.planned_frames, each.planned_sets, three(each.frames), three(each.sets),
                       percent(each.any_set));
  }
  return out + fmt::format("{}  {}  {:>8}{:>6}{}\n", padded("", rig), padded("all", step),
                           odds.planned_frames, "", three(odds.frames));
}

std::string beads(const sim::Odds& odds) {
  std::string out;
  for (const auto& each : odds.steps) {
    if (!each.beads_caught) continue;
    out += fmt::format("{} on {}: at full speed when the beads came in {} of the trials\n", each.step,
                       each.rig, percent(*each.beads_caught));
  }
  return out;
}

std::string strayed(const sim::Odds& odds) {
  if (odds.strayed == 0) return "No trial took an unfiltered frame outside the filter window.\n";
  return fmt::format(
      "UNFILTERED FRAMES OUTSIDE THE FILTER WINDOW, or more than a minute outside totality, in {} of the "
      "trials.\nDon't shoot this plan as it is.\n",
      percent(odds.strayed));
}

std::string cost(const sim::FaultCost& cost) {
  const auto emptied =
      cost.emptied > 0 ? fmt::format(", and left {:.2g} steps without a complete set", cost.emptied) : "";
  return fmt::format("  {} came in {} of the trials; there it cost {:.1f} frames on average, {} at most{}\n",
                     to_text(cost.kind), percent(cost.struck), cost.frames, cost.most, emptied);
}

std::string costs(const sim::Odds& odds) {
  if (odds.costs.empty()) return "No fault struck.\n";
  const auto& most = odds.costs.front();
  auto out =
      fmt::format("What cost most: {}, {:.1f} frames a day.\n", to_text(most.kind), most.frames_a_day());
  for (const auto& each : odds.costs) out += cost(each);
  return out;
}

ordered_json json_of(const sim::Quantiles& of) {
  return {{"median", of.median}, {"five_percent", of.low}, {"worst", of.worst}};
}

}  // namespace

std::string odds_text(const sim::Odds& odds, const timeline::Timeline& timeline,
                      const sim::Chances& chances) {
  return fmt::format("{}\n{}\n{}{}\n{}", head(odds, timeline, chances), table(odds), beads(odds),
                     strayed(odds), costs(odds));
}

std::string odds_json(const sim::Odds& odds, const sim::Chances& chances) {
  auto steps = ordered_json::array();
  for (const auto& each : odds.steps) {
    auto& step = steps.emplace_back(ordered_json{{"rig", each.rig},
                                                 {"step", each.step},
                                                 {"planned_frames", each.planned_frames},
                                                 {"planned_sets", each.planned_sets},
                                                 {"frames", json_of(each.frames)},
                                                 {"complete_sets", json_of(each.sets)},
                                                 {"at_least_one_set", each.any_set}});
    if (each.beads_caught) step["beads_at_full_speed"] = *each.beads_caught;
  }
  auto faults = ordered_json::array();
  for (const auto& each : odds.costs) {
    faults.push_back({{"fault", to_text(each.kind)},
                      {"share_of_trials", each.struck},
                      {"frames_lost", each.frames},
                      {"most_frames_lost", each.most},
                      {"steps_emptied", each.emptied},
                      {"frames_lost_a_day", each.frames_a_day()}});
  }
  return json::to_indented(ordered_json{{"trials", odds.trials},
                                        {"seed", chances.seed},
                                        {"detune", {chances.fastest, chances.slowest}},
                                        {"rates",
                                         {{"lost_frame", chances.rates.lost_frame},
                                          {"gone_an_hour", chances.rates.gone_an_hour},
                                          {"slow_card_an_hour", chances.rates.slow_card_an_hour}}},
                                        {"planned_frames", odds.planned_frames},
                                        {"frames", json_of(odds.frames)},
                                        {"unfiltered_outside_window", odds.strayed},
                                        {"steps", std::move(steps)},
                                        {"faults", std::move(faults)}});
}

}  // namespace noonfall::cli
