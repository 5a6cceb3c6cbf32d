#include "lib/collate/clock_error.h"

#include <algorithm>

namespace noonfall::collate {
namespace {

constexpr double day = 86'400;
constexpr double coarse = 3;            // seconds; no drift takes a clock further within a run
constexpr double most_rate = 20 / day;  // beyond any quartz on a tripod (no source)
constexpr double usual_rate = 5 / day;  // (no source)
constexpr double stamp_jitter = 0.03;   // of a body that stamps its frames by itself (no source)
constexpr std::size_t most_differences = 4'000'000;
constexpr int candidates = 5;

/// How far a reading is ahead of an opening that it might be of.
struct Difference {
  double opened;
  double ahead;
};

/// Of so many pairs that they can be looked at, of readings from all over the list.
std::vector<Difference> differences(std::span<const Reading> readings, std::span<const Opening> openings) {
  const auto all = readings.size() * openings.size();
  const auto one_in = all / most_differences + 1;
  std::vector<Difference> out;
  out.reserve(std::min(all, most_differences));
  std::uint32_t luck = 1;  // what repeats in a plan must not repeat in the choice
  for (const auto& reading : readings) {
    luck = luck * 1'664'525U + 1'013'904'223U;  // Numerical Recipes, "quick and dirty" generator
    if ((luck >> 8U) % one_in != 0) continue;
    for (const auto& opening : openings)
      if (opening.light.fits(reading.light)) out.push_back({opening.opened, reading.clock - opening.opened});
  }
  std::sort(out.begin(), out.end(),
            [](const Difference& a, const Difference& b) { return a.ahead < b.ahead; });
  return out;
}

/// Where the most differences lie together, as the middle of each such place.
std::vector<double> crowds(const std::vector<Difference>& all) {
  std::vector<double> out;
  const auto is_near = [&](double ahead) {
    return std::any_of(out.begin(), out.end(), [&](double each) { return std::abs(each - ahead) < coarse; });
  };
  for (int n = 0; n < candidates; ++n) {
    std::size_t most = 0;
    double middle = 0;
    for (std::size_t from = 0, to = 0; from < all.size(); ++from) {
      while (to < all.size() && all[to].ahead <= all[from].ahead + coarse) ++to;
      if (to - from <= most || is_near(all[from].ahead + coarse / 2)) continue;
      most = to - from;
      middle = all[from].ahead + coarse / 2;
    }
    if (most == 0) break;
    out.push_back(middle);
  }
  return out;
}

double usual_grain(std::span<const Reading> readings) {
  std::vector<double> grains;
  for (const auto& reading : readings) grains.push_back(reading.grain);
  const auto middle = grains.begin() + static_cast<std::ptrdiff_t>(grains.size() / 2);
  std::nth_element(grains.begin(), middle, grains.end());
  return *middle;
}

/// The error near `about` under which the most differences fall together within `width`, over all rates.
ClockError sharpened(const std::vector<Difference>& all, double about, double width, double span) {
  const auto from = std::lower_bound(all.begin(), all.end(), about - 2 * coarse,
                                     [](const Difference& each, double at) { return each.ahead < at; });
  const auto to = std::upper_bound(from, all.end(), about + 2 * coarse,
                                   [](double at, const Difference& each) { return at < each.ahead; });
  const double bin = width / 2;
  const auto bins = static_cast<std::size_t>(4 * coarse / bin) + 2;
  const double rate_step = std::max(width / std::max(span, 1.0), most_rate / 200);
  ClockError best{0, about, 0, width};
  int most = 0;
  std::vector<int> counts(bins);
  for (int n = 0; n <= 2 * static_cast<int>(most_rate / rate_step); ++n) {
    const int steps = (n + 1) / 2;
    const double rate = (n % 2 == 0 ? steps : -steps) * rate_step;  // the smallest win ties
    std::fill(counts.begin(), counts.end(), 0);
    for (auto at = from; at != to; ++at) {
      const auto place = (at->ahead - rate * at->opened - about + 2 * coarse) / bin;
      if (place >= 0 && place < static_cast<double>(bins)) ++counts[static_cast<std::size_t>(place)];
    }
    for (std::size_t b = 1; b < bins; ++b) {
      if (counts[b - 1] + counts[b] <= most) continue;
      most = counts[b - 1] + counts[b];
      best.ahead = about - 2 * coarse + static_cast<double>(b) * bin;
      best.rate = rate;
    }
  }
  return best;
}

/// The straight line through what the pairs leave, drawn to a usual rate where they say nothing of it.
void correct(ClockError& error, std::span<const Reading> readings, std::span<const Opening> openings,
             const std::vector<Pair>& pairs) {
  const auto count = static_cast<double>(pairs.size());
  double t_sum = 0;
  double off_sum = 0;
  double noise = 0;
  for (const auto& pair : pairs) {
    t_sum += openings[pair.opening].opened;
    off_sum += pair.off;
    noise += readings[pair.reading].grain * readings[pair.reading].grain / 12 + stamp_jitter * stamp_jitter;
  }
  const double t_mean = t_sum / count;
  double tt = noise / count / (usual_rate * usual_rate);
  double t_off = -error.rate * tt;
  for (const auto& pair : pairs) {
    const auto t = openings[pair.opening].opened - t_mean;
    tt += t * t;
    t_off += t * (pair.off - off_sum / count);
  }
  const auto more = t_off / tt;
  error.ahead += off_sum / count + more * (error.from - t_mean);
  error.rate += more;
}

/// What nine in ten pairs keep within, and a good deal more.
double slack_of(std::span<const Reading> readings, const std::vector<Pair>& pairs) {
  std::vector<double> beyond;
  for (const auto& pair : pairs) beyond.push_back(ClockError::beyond(readings[pair.reading], pair.off));
  const auto ninth = beyond.begin() + static_cast<std::ptrdiff_t>(beyond.size() * 9 / 10);
  std::nth_element(beyond.begin(), ninth, beyond.end());
  return std::clamp(3 * *ninth, 2 * stamp_jitter, 1.0);
}

ClockFit settled(ClockError error, std::span<const Reading> readings, std::span<const Opening> openings) {
  constexpr int rounds = 5;
  ClockFit fit{error, pair_up(readings, openings, error)};
  for (int n = 0; n < rounds && !fit.pairs.empty(); ++n) {
    correct(fit.error, readings, openings, fit.pairs);
    fit.error.slack = slack_of(readings, fit.pairs);
    fit.pairs = pair_up(readings, openings, fit.error);
  }
  return fit;
}

}  // namespace

std::optional<ClockFit> find_clock_error(std::span<const Reading> readings,
                                         std::span<const Opening> openings) {
  const auto all = differences(readings, openings);
  if (all.empty()) return std::nullopt;
  const auto width = usual_grain(readings) + 2 * stamp_jitter;
  const auto span = openings.back().opened - openings.front().opened;
  std::optional<ClockFit> best;
  std::vector<double> places{0};  // of errors that explain as much, none is the likeliest
  for (const auto place : crowds(all)) places.push_back(place);
  for (const auto about : places) {
    auto fit = settled(sharpened(all, about, width, span), readings, openings);
    if (!best || fit.pairs.size() > best->pairs.size()) best = std::move(fit);
  }
  return best;
}

}  // namespace noonfall::collate
