#include "lib/exposure/bracket.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

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

constexpr double right_stops = 1.0 / 6;
constexpr double rounding_stops = 1e-9;

bool preferred(const Exposure& a, const Exposure& b, Seconds longest) {
  const auto rank = [longest](const Exposure& each) {
    const double seconds = exact_seconds(each.shutter);
    const bool slow = seconds > longest.value * std::exp2(rounding_stops);
    return std::tuple{slow, slow ? seconds : 0, each.iso.value, seconds, each.aperture->tenths};
  };
  return rank(a) < rank(b);
}

template <class Visit>
void for_each_setting(std::span<const Shutter> shutters, std::span<const FNumber> apertures,
                      std::span<const Iso> isos, Brightness brightness, Visit visit) {
  for (const auto aperture : apertures) {
    for (const auto iso : isos) {
      const double ideal = std::log2(ideal_seconds(brightness, aperture, iso).value);
      for (const auto shutter : shutters) {
        visit(Pick{{shutter, aperture, iso}, {std::log2(exact_seconds(shutter)) - ideal}});
      }
    }
  }
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

std::optional<Pick> pick_exposure(Brightness brightness, std::span<const Shutter> shutters,
                                  std::span<const FNumber> apertures, std::span<const Iso> isos,
                                  Seconds longest) {
  double least_off = std::numeric_limits<double>::infinity();
  for_each_setting(shutters, apertures, isos, brightness,
                   [&](const Pick& pick) { least_off = std::min(least_off, std::abs(pick.off.value)); });
  const double tolerance = std::max(least_off, right_stops) + rounding_stops;
  std::optional<Pick> best;
  for_each_setting(shutters, apertures, isos, brightness, [&](const Pick& pick) {
    if (std::abs(pick.off.value) > tolerance) return;
    if (!best || preferred(pick.exposure, best->exposure, longest)) best = pick;
  });
  return best;
}

}  // namespace noonfall::exposure
