// Brackets that a body takes by itself.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lib/exposure/bracket.h"
#include "lib/exposure/scale.h"
#include "lib/timeline/exposures.h"

namespace noonfall::timeline {
namespace {

using exposure::Shutter;

constexpr double same = 1.0 / 6;  // stops, as everywhere

double stops_between(Shutter one, Shutter other) {
  return std::log2(exposure::exact_seconds(other) / exposure::exact_seconds(one));
}

bool has_step(const std::vector<Shutter>& rising, Stops step) {
  return std::ranges::adjacent_find(rising,
                                    [&](Shutter one, Shutter other) {
                                      return std::abs(stops_between(one, other) - step.value) > same;
                                    }) == rising.end() &&
         std::abs(stops_between(rising.front(), rising.back()) -
                  step.value * static_cast<double>(rising.size() - 1)) < 2 * same;
}

std::string steps_text(const body::OwnBrackets& brackets) {
  std::vector<std::string> words;
  for (const auto step : brackets.steps) words.push_back(fmt::format("{:.3g}", step.value));
  return fmt::format("{} stops apart, {} frames, at most {:g} stops wide", fmt::join(words, ", "),
                     fmt::join(brackets.frames, ", "), brackets.widest.value);
}

}  // namespace

std::vector<Shutter> in_body_order(std::vector<Shutter> shutters, const body::OwnBrackets& brackets) {
  const auto rising = exposure::short_first(std::move(shutters));
  if (!brackets.middle_first) return rising;
  const auto middle = rising.size() / 2;
  std::vector<Shutter> order{rising[middle]};
  for (std::size_t away = 1; order.size() < rising.size(); ++away) {
    if (away <= middle) order.push_back(rising[middle - away]);
    if (middle + away < rising.size()) order.push_back(rising[middle + away]);
  }
  return order;
}

std::optional<Diagnostic> why_no_own_bracket(const body::Profile& profile,
                                             const std::vector<Shutter>& shutters, const Whose& whose) {
  const auto& brackets = profile.brackets;
  if (!brackets) {
    return error_at(whose.mark, "no-own-bracket",
                    fmt::format("\"{}\": the profile \"{}\" of {} knows no bracket of the body's own",
                                whose.step, profile.name, whose.rig),
                    "no `in body`, or a profile with its `brackets`");
  }
  const auto rising = exposure::short_first(shutters);
  const double wide = stops_between(rising.front(), rising.back());
  const bool counted = std::ranges::count(brackets->frames, static_cast<int>(rising.size())) > 0;
  const bool stepped =
      std::ranges::any_of(brackets->steps, [&](Stops step) { return has_step(rising, step); });
  if (counted && stepped && wide <= brackets->widest.value + same) return {};
  return error_at(
      whose.mark, "bracket-not-in-body",
      fmt::format("\"{}\": {} can't take these by itself: {} frames, {:.1f} stops from the first to the last",
                  whose.step, whose.rig, rising.size(), wide),
      steps_text(*brackets));
}

}  // namespace noonfall::timeline
