#include "lib/exposure/bracket.h"

#include <algorithm>
#include <cmath>

#include "lib/exposure/scale.h"

namespace noonfall::exposure {
namespace {

constexpr double slack_stops = 1.0 / 6;  // half a third-stop click

Ladder on_choices(Seconds first, int frames, Stops by, std::span<const Shutter> choices) {
  Ladder ladder;
  for (int rung = 0; rung < frames; ++rung) {
    const auto found = nearest(Seconds{first.value * std::exp2(by.value * rung)}, choices);
    if (!found) return {};
    ladder.shutters.push_back(found->value);
    ladder.furthest_off = {std::max(ladder.furthest_off.value, std::abs(found->off.value))};
  }
  return ladder;
}

}  // namespace

Ladder centred_ladder(Shutter centre, int frames, Stops by, std::span<const Shutter> choices) {
  const Seconds first{exact_seconds(centre) * std::exp2(-by.value * (frames - 1) / 2)};
  return on_choices(first, frames, by, choices);
}

Ladder ladder_between(Shutter one, Shutter other, Stops by, std::span<const Shutter> choices) {
  const double from = std::min(exact_seconds(one), exact_seconds(other));
  const double to = std::max(exact_seconds(one), exact_seconds(other));
  const int steps = static_cast<int>(std::floor((std::log2(to / from) + slack_stops) / by.value));
  return on_choices(Seconds{from}, steps + 1, by, choices);
}

std::vector<Shutter> short_first(std::vector<Shutter> shutters) {
  std::stable_sort(shutters.begin(), shutters.end(), shorter);
  return shutters;
}

std::vector<Shutter> long_first(std::vector<Shutter> shutters) {
  std::stable_sort(shutters.begin(), shutters.end(), [](Shutter a, Shutter b) { return shorter(b, a); });
  return shutters;
}

std::vector<Shutter> mirrored(std::vector<Shutter> shutters) {
  auto there_and_back = short_first(std::move(shutters));
  const auto count = there_and_back.size();
  for (std::size_t back = 1; back < count; ++back) there_and_back.push_back(there_and_back[count - 1 - back]);
  return there_and_back;
}

}  // namespace noonfall::exposure
