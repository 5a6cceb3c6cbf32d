#include "lib/collate/pairing.h"

#include <algorithm>

#include "lib/exposure/scale.h"

namespace noonfall::collate {
namespace {

constexpr double name_rounding =
    0.4;  // stops: names of one setting differ by less, third-stop clicks by less than 1.2 of it

bool differs(double a, double b) {
  return std::abs(a - b) > name_rounding;  // never, of what isn't a number
}

constexpr std::size_t none = SIZE_MAX;

struct Choice {
  Pair pair;
  double worth = 0;
  double chain = 0;           // of the best chain that ends with it
  std::size_t before = none;  // the choice before it in that
};

/// Of chains that end at an opening up to n, the best: a Fenwick tree of maxima.
class BestChains {
 public:
  explicit BestChains(std::size_t openings) : best_(openings + 1, none) {}

  /// Over the openings before `opening`.
  [[nodiscard]] std::size_t before(std::size_t opening, const std::vector<Choice>& choices) const {
    auto found = none;
    for (auto n = opening; n > 0; n -= n & (~n + 1)) found = better(found, best_[n], choices);
    return found;
  }
  void put(std::size_t choice, const std::vector<Choice>& choices) {
    for (auto n = choices[choice].pair.opening + 1; n < best_.size(); n += n & (~n + 1))
      best_[n] = better(best_[n], choice, choices);
  }

 private:
  static std::size_t better(std::size_t a, std::size_t b, const std::vector<Choice>& choices) {
    if (a == none || b == none) return a == none ? b : a;
    return choices[b].chain > choices[a].chain ? b : a;
  }
  std::vector<std::size_t> best_;
};

/// Every pair within reach, by reading.
std::vector<Choice> choices_of(std::span<const Reading> readings, std::span<const Opening> openings,
                               const ClockError& clock, const Bonus& bonus) {
  std::vector<Choice> out;
  for (std::size_t n = 0; n < readings.size(); ++n) {
    const auto& reading = readings[n];
    const auto at = clock.opened_at(reading.clock);
    const auto reach = reading.grain / 2 + clock.slack;
    const auto by_time = [](const Opening& each, double instant) { return each.opened < instant; };
    auto opening = std::lower_bound(openings.begin(), openings.end(), at - reach, by_time);
    for (; opening != openings.end() && opening->opened <= at + reach; ++opening) {
      if (!opening->light.fits(reading.light)) continue;
      const auto off = at - opening->opened;
      const auto beyond = ClockError::beyond(reading, off) / clock.slack;
      auto worth = 2 - beyond * beyond - std::abs(off) / reach / 16;
      if (bonus) worth += bonus(reading.photo, opening->shot);
      out.push_back({{n, static_cast<std::size_t>(opening - openings.begin()), off}, worth});
    }
  }
  return out;
}

/// The last choice of the best chain.
std::size_t chain_up(std::vector<Choice>& choices, std::size_t openings) {
  BestChains chains{openings};
  auto last = none;
  std::size_t first_of_reading = 0;
  for (std::size_t n = 0; n < choices.size(); ++n) {
    auto& choice = choices[n];
    choice.before = chains.before(choice.pair.opening, choices);
    choice.chain = choice.worth + (choice.before == none ? 0 : choices[choice.before].chain);
    if (last == none || choice.chain > choices[last].chain) last = n;
    // One pair a reading: its choices count for those of the next only.
    const bool reading_done = n + 1 == choices.size() || choices[n + 1].pair.reading != choice.pair.reading;
    if (!reading_done) continue;
    for (; first_of_reading <= n; ++first_of_reading) chains.put(first_of_reading, choices);
  }
  return last;
}

}  // namespace

bool Light::fits(const Light& other) const {
  return !differs(time, other.time) && !differs(aperture, other.aperture) && !differs(speed, other.speed);
}

Light light_of(const Photo& photo) {
  Light light;
  if (photo.shutter) light.time = exposure::time_value(*photo.shutter).value;
  if (photo.aperture) light.aperture = exposure::aperture_value(*photo.aperture).value;
  if (photo.iso) light.speed = exposure::speed_value(*photo.iso).value;
  return light;
}

Light light_of(const exposure::Exposure& exposure) {
  Light light{exposure::time_value(exposure.shutter).value, Light::unknown,
              exposure::speed_value(exposure.iso).value};
  if (exposure.aperture) light.aperture = exposure::aperture_value(*exposure.aperture).value;
  return light;
}

std::vector<Pair> pair_up(std::span<const Reading> readings, std::span<const Opening> openings,
                          const ClockError& clock, const Bonus& bonus) {
  auto choices = choices_of(readings, openings, clock, bonus);
  std::vector<Pair> pairs;
  std::vector<bool> read(readings.size());
  std::vector<bool> opened(openings.size());
  const auto take = [&](const Pair& pair) {
    if (read[pair.reading] || opened[pair.opening]) return;
    read[pair.reading] = opened[pair.opening] = true;
    pairs.push_back(pair);
  };
  for (auto n = chain_up(choices, openings.size()); n != none; n = choices[n].before) take(choices[n].pair);
  std::stable_sort(choices.begin(), choices.end(),
                   [](const Choice& a, const Choice& b) { return a.worth > b.worth; });
  for (const auto& choice : choices) take(choice.pair);
  std::sort(pairs.begin(), pairs.end(), [](const Pair& a, const Pair& b) { return a.opening < b.opening; });
  return pairs;
}

}  // namespace noonfall::collate
