#include "lib/ladder/ladder.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "lib/body/model.h"
#include "lib/exposure/bracket.h"
#include "lib/exposure/brightness.h"
#include "lib/exposure/scale.h"

namespace noonfall::ladder {
namespace {

using exposure::Shutter;

constexpr std::array heights{0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 4.0};
constexpr double clips_at = 0.6;  // the corona is brighter than the law by half a stop and more at times
constexpr int most_whole_sets = 3;
constexpr std::size_t most_rungs = 24;

/// Electrons a second of what is as bright as the disc's centre.
double disc_electrons(const Optics& light) {
  const auto& sensor = light.sensor;
  const auto published = exposure::brightness_of({exposure::SubjectKind::corona, 1, 1}, 0)->middle();
  const double seconds = exposure::ideal_seconds(published, light.aperture, sensor.base_iso).value;
  return sensor.full_well_e * exposure::middle_grey / seconds / exposure::corona_of_centre(2);
}

std::vector<double> heights_of(const exposure::Subject& corona) {
  std::vector<double> inside;
  for (const double radii : heights)
    if (radii >= corona.low_radii && radii <= corona.high_radii) inside.push_back(radii);
  if (inside.empty()) inside = {corona.low_radii, corona.high_radii};
  return inside;
}

/// One frame's share of the square of signal to noise.
double square_of_one(const Optics& light, const Frames& frames, double corona_rate, double sky_rate) {
  const auto& sensor = light.sensor;
  const double seconds = exposure::exact_seconds(frames.shutter);
  const double corona = corona_rate * seconds;
  const double sky = sky_rate * seconds;
  const double gain =
      std::max(1.0, exposure::exact_value(frames.iso) / exposure::exact_value(sensor.base_iso));
  if (corona + sky > clips_at * sensor.full_well_e / gain) return 0;
  return corona * corona / (corona + sky + sensor.read_noise_e * sensor.read_noise_e);
}

std::vector<exposure::Exposure> exposures_of(const Task& task, std::span<const Shutter> rungs) {
  std::vector<exposure::Exposure> out;
  for (const auto rung : rungs) out.push_back({rung, task.aperture, task.iso});
  return out;
}

/// Of each rung, how many frames the time has room for, those of a last unfinished set included.
std::vector<double> counts_in_time(const Task& task, std::span<const Duration> offsets,
                                   std::span<const Duration> open, Duration cycle) {
  const auto lasts = offsets.back() + open.back();
  const auto whole = task.time >= lasts ? 1 + (task.time - lasts) / cycle : 0;
  const auto rest = task.time - cycle * whole;
  std::vector<double> counts;
  for (std::size_t n = 0; n < offsets.size(); ++n) {
    const bool once_more = offsets[n] + open[n] <= rest;
    counts.push_back(static_cast<double>(whole + (once_more ? 1 : 0)));
  }
  return counts;
}

/// Looks up what one frame of each choice gives at each height and costs in time, and how a ladder of choices
/// fares.
class Search {
 public:
  explicit Search(const Task& task) : task_{task}, radii_{heights_of(task.corona)} {
    const double sky = sky_electrons(task.light);
    for (const auto shutter : task.shutters) {
      const exposure::Exposure taken{shutter, task.aperture, task.iso};
      const exposure::Exposure other{shutter == Shutter{1, 1} ? Shutter{2, 1} : Shutter{1, 1}, task.aperture,
                                     task.iso};
      auto& choice = choices_.emplace_back();
      choice.open = body::open_time(shutter);
      choice.to_same = body::opening_to_opening(task.profile, body::Drive::single, taken, taken);
      choice.to_other = body::opening_to_opening(task.profile, body::Drive::single, taken, other);
      for (const double radii : radii_)
        choice.squares.push_back(
            square_of_one(task.light, {shutter, task.iso}, corona_electrons(task.light, radii), sky));
    }
  }

  using Rungs = std::vector<std::size_t>;  // into the choices, rising

  struct Score {
    double worst = 0;  // squares of signal to noise
    double sum = 0;
    int sets = 0;
    friend bool operator<(const Score& a, const Score& b) {
      constexpr double worth_it = 1 + 1e-6;
      if (b.worst > a.worst * worth_it) return true;
      return b.worst * worth_it >= a.worst && b.sum > a.sum * worth_it;
    }
  };

  [[nodiscard]] Score score(const Rungs& rungs) const {
    std::vector<Duration> offsets;
    std::vector<Duration> open;
    Duration cycle{};
    for (std::size_t n = 0; n < rungs.size(); ++n) {
      const auto& choice = choices_[rungs[n]];
      const auto next = rungs[n + 1 < rungs.size() ? n + 1 : 0];
      offsets.push_back(cycle);
      open.push_back(choice.open);
      cycle += next == rungs[n] ? choice.to_same : choice.to_other;
    }
    const auto counts = counts_in_time(task_, offsets, open, cycle);
    Score score;
    score.sets = static_cast<int>(std::ranges::min(counts));
    for (std::size_t h = 0; h < radii_.size(); ++h) {
      double square = 0;
      for (std::size_t n = 0; n < rungs.size(); ++n) square += counts[n] * choices_[rungs[n]].squares[h];
      score.worst = h == 0 ? square : std::min(score.worst, square);
      score.sum += std::log(1 + square);
    }
    return score;
  }

  [[nodiscard]] Rungs on_choices(const std::vector<Shutter>& shutters) const {
    Rungs rungs;
    for (const auto shutter : shutters)
      rungs.push_back(
          static_cast<std::size_t>(std::ranges::find(task_.shutters, shutter) - task_.shutters.begin()));
    return rungs;
  }

  /// Rungs added, taken away and moved as long as that helps.
  [[nodiscard]] Rungs climb(Rungs best, int least_sets) const {
    auto best_score = score(best);
    for (bool better = true; better;) {
      better = false;
      for (auto& other : neighbours(best)) {
        const auto now = score(other);
        if (now.sets < least_sets || !(best_score < now)) continue;
        best = std::move(other);
        best_score = now;
        better = true;
        break;
      }
    }
    return best;
  }

 private:
  struct Choice {
    Duration open{};
    Duration to_same{};           // from opening to opening, the same exposure next
    Duration to_other{};          // … another one
    std::vector<double> squares;  // by height
  };

  [[nodiscard]] std::vector<Rungs> neighbours(const Rungs& rungs) const {
    std::vector<Rungs> all;
    const auto add = [&all](Rungs other) {
      std::ranges::sort(other);
      all.push_back(std::move(other));
    };
    for (std::size_t n = 0; n < rungs.size(); ++n) {
      for (const std::ptrdiff_t by : {1, -1, 2, -2, 3, -3, 6, -6}) {
        const auto moved = static_cast<std::ptrdiff_t>(rungs[n]) + by;
        if (moved < 0 || moved >= std::ssize(task_.shutters)) continue;
        auto other = rungs;
        other[n] = static_cast<std::size_t>(moved);
        add(std::move(other));
      }
      auto fewer = rungs;
      fewer.erase(fewer.begin() + static_cast<std::ptrdiff_t>(n));
      if (!fewer.empty()) add(std::move(fewer));
    }
    for (std::size_t choice = 0; choice < task_.shutters.size() && rungs.size() < most_rungs; ++choice) {
      auto more = rungs;
      more.push_back(choice);
      add(std::move(more));
    }
    return all;
  }

  const Task& task_;
  std::vector<double> radii_;
  std::vector<Choice> choices_;
};

}  // namespace

body::SensorPixel sensor_of(const body::Profile& profile, std::optional<Micrometres> pixel) {
  if (profile.sensor) return *profile.sensor;
  const double side = pixel.value_or(Micrometres{5}).value;
  return {1500 * side * side, 3.5, {100}};
}

double corona_electrons(const Optics& light, double radii) {
  return disc_electrons(light) * exposure::corona_of_centre(1 + radii) * std::exp2(-light.lost.value);
}

double sky_electrons(const Optics& light) {
  constexpr double mean_over_centre = 0.8002;  // Neckel & Labs 1994, 541.76 nm
  return disc_electrons(light) * 4.6e-10 * mean_over_centre;
}

double stacked(const Optics& light, std::span<const Frames> frames, double radii) {
  const double corona = corona_electrons(light, radii);
  const double sky = sky_electrons(light);
  double square = 0;
  for (const auto& each : frames) square += each.count * square_of_one(light, each, corona, sky);
  return std::sqrt(square);
}

std::vector<Signal> signals(const Optics& light, std::span<const Frames> frames,
                            const exposure::Subject& corona) {
  std::vector<Signal> all;
  for (const double radii : heights_of(corona)) all.push_back({radii, stacked(light, frames, radii)});
  return all;
}

double worst(std::span<const Signal> signals) {
  if (signals.empty()) return 0;
  return std::ranges::min_element(signals, {}, &Signal::to_noise)->to_noise;
}

std::vector<Frames> frames_in_time(const Task& task, std::span<const Shutter> rungs) {
  const auto set = exposures_of(task, rungs);
  const auto predicted = body::predict_set(task.profile, body::Drive::single, set);
  std::vector<Duration> open;
  for (const auto rung : rungs) open.push_back(body::open_time(rung));
  const auto counts = counts_in_time(task, predicted.offsets, open, predicted.cycle);
  std::vector<Frames> frames;
  for (std::size_t n = 0; n < rungs.size(); ++n) frames.push_back({rungs[n], task.iso, counts[n]});
  return frames;
}

std::vector<Shutter> equal_steps(const Task& task, Stops by) {
  const auto range = *exposure::brightness_of(task.corona, 0);
  const auto published = [&](exposure::Brightness brightness) {
    const auto seconds =
        exposure::ideal_seconds({brightness.q - task.light.lost.value}, task.light.aperture, task.iso);
    return exposure::nearest(seconds, task.shutters)->value;
  };
  auto rungs =
      exposure::ladder_between(published(range.brightest), published(range.faintest), by, task.shutters)
          .shutters;
  rungs.erase(std::unique(rungs.begin(), rungs.end()), rungs.end());
  return rungs;
}

std::vector<Shutter> best_ladder(const Task& task) {
  const Search search{task};
  auto best = search.on_choices(equal_steps(task));
  const int least_sets = std::min(most_whole_sets, search.score(best).sets);
  for (const double by : {2.0, 1.0, 3.0, 4.0}) {
    const auto found = search.climb(search.on_choices(equal_steps(task, {by})), least_sets);
    const auto score = search.score(found);
    if (score.sets >= least_sets && search.score(best) < score) best = found;
  }
  std::vector<Shutter> shutters;
  for (const auto rung : best) shutters.push_back(task.shutters[rung]);
  return shutters;
}

}  // namespace noonfall::ladder
