#include "lib/limb/spells.h"

#include <cmath>
#include <cstdint>

#include <boost/math/tools/minima.hpp>
#include <boost/math/tools/toms748_solve.hpp>

namespace noonfall::limb {
namespace {

struct Sample {
  double t;
  double value;
};

double crossing(const std::function<double(double)>& value, const Sample& a, const Sample& b) {
  std::uintmax_t steps = 60;
  const auto close = [](double low, double high) { return high - low < 1e-8; };
  const auto root = boost::math::tools::toms748_solve(value, a.t, b.t, a.value, b.value, close, steps);
  return (root.first + root.second) / 2;
}

/// A turn between the samples may cross zero unseen: it becomes a sample of its own.
void add_turns(const std::function<double(double)>& value, double near_zero, std::vector<Sample>& samples) {
  std::vector<Sample> with_turns;
  for (std::size_t n = 0; n < samples.size(); ++n) {
    with_turns.push_back(samples[n]);
    if (n == 0 || n + 1 >= samples.size() || std::abs(samples[n].value) > near_zero) continue;
    const double sign = samples[n].value > 0 ? 1 : -1;
    const bool turns = sign * samples[n - 1].value >= sign * samples[n].value &&
                       sign * samples[n + 1].value >= sign * samples[n].value;
    if (!turns) continue;
    const auto towards_zero = [&](double t) { return sign * value(t); };
    const auto turn =
        boost::math::tools::brent_find_minima(towards_zero, samples[n - 1].t, samples[n + 1].t, 20);
    if (turn.second >= 0) continue;
    if (turn.first < samples[n].t) with_turns.pop_back();
    with_turns.push_back({turn.first, sign * turn.second});
    if (turn.first < samples[n].t) with_turns.push_back(samples[n]);
  }
  samples = std::move(with_turns);
}

}  // namespace

std::vector<Spell> spells_below_zero(const std::function<double(double)>& value, const Search& search) {
  const auto count = static_cast<int>(std::ceil((search.until - search.from) / search.step));
  std::vector<Sample> samples;
  for (int n = 0; n <= count; ++n) {
    const double t = search.from + (search.until - search.from) * n / count;
    samples.push_back({t, value(t)});
  }
  add_turns(value, search.near_zero, samples);
  std::vector<Spell> spells;
  if (samples.front().value < 0) spells.push_back({search.from, search.until});
  for (std::size_t n = 1; n < samples.size(); ++n) {
    const auto& a = samples[n - 1];
    const auto& b = samples[n];
    if ((a.value < 0) == (b.value < 0)) continue;
    const double t = crossing(value, a, b);
    if (b.value < 0) {
      spells.push_back({t, search.until});
    } else {
      spells.back().until = t;
    }
  }
  return spells;
}

}  // namespace noonfall::limb
