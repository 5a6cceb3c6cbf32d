#include "sim/odds/trial.h"

#include <cmath>
#include <map>
#include <string>

#include "sim/sky/luck.h"

namespace noonfall::sim {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;

constexpr Duration away = 10s;
constexpr double slow_rate = 0.25;
constexpr Duration slow_for = 1min;
constexpr double half_width_95 = 1.959964;  // of the normal distribution, in standard deviations

/// Box & Muller 1958.
double normal(Luck& luck) {
  const double length = std::sqrt(-2 * std::log(1 - luck.share()));
  return length * std::cos(6.283185307179586 * luck.share());
}

/// How many events there are where `mean` are expected (Poisson), by Knuth's product of uniform numbers.
int events(Luck& luck, double mean) {
  const double enough = std::exp(-mean);
  int count = 0;
  for (double product = luck.share(); product > enough; product *= luck.share()) ++count;
  return count;
}

/// What moves one contact without the others.
bool is_own(const std::string& reason) {
  return reason.starts_with("lunar limb") || reason.starts_with("shadow as polynomials");
}

std::array<Duration, 5> draw_contacts(const contacts::Circumstances& sky, Luck& luck) {
  std::map<std::string, double> shared;
  std::array<Duration, 5> late{};
  for (const auto name : contacts::all_contacts) {
    const auto& contact = sky.at(name);
    if (!contact) continue;
    double seconds = 0;
    for (const auto& part : contact->parts) {
      const double own = normal(luck);  // drawn always, so that one part more shifts no other's luck
      const double share = is_own(part.reason) ? own : shared.try_emplace(part.reason, own).first->second;
      seconds += share * in_seconds(part.half_width) / half_width_95;
    }
    late[static_cast<std::size_t>(name)] = from_seconds(seconds);
  }
  return late;
}

Utc instant_between(Luck& luck, Utc from, Utc until) {
  return from + from_seconds(luck.share() * in_seconds(until - from));
}

/// An instant at which a frame is due, any as likely as another.
Utc instant_of_a_frame(Luck& luck, const timeline::RigTimeline& rig) {
  double left = luck.share() * rig.predicted_frames();
  for (const auto& step : rig.steps) {
    left -= step.predicted_frames();
    if (left < 0) return instant_between(luck, step.first_opening(), step.last_closing());
  }
  return rig.steps.back().from;
}

struct FaultDraw {
  Luck& luck;
  const FaultRates& rates;

  [[nodiscard]] std::vector<Fault> operator()(const timeline::RigTimeline& rig) const {
    std::vector<Fault> faults;
    if (rig.by_hand || rig.steps.empty()) return faults;
    const auto from = rig.steps.front().first_opening();
    const auto until = rig.steps.back().last_closing();
    const double hours = in_seconds(until - from) / 3600;
    for (int n = events(luck, rates.lost_frame * rig.predicted_frames()); n > 0; --n) {
      const auto sign = luck.share() < 0.5 ? LostFrame::Sign::unconfirmed : LostFrame::Sign::no_word;
      faults.push_back({instant_of_a_frame(luck, rig), Utc::max(), 1, LostFrame{sign}});
    }
    for (int n = events(luck, rates.gone_an_hour * hours); n > 0; --n) {
      const auto at = instant_between(luck, from, until);
      faults.push_back({.from = at, .until = at + away, .count = {}, .effect = BodyGone{}});
    }
    for (int n = events(luck, rates.slow_card_an_hour * hours); n > 0; --n) {
      const auto at = instant_between(luck, from, until);
      faults.push_back({.from = at, .until = at + slow_for, .count = {}, .effect = SlowCard{slow_rate}});
    }
    return faults;
  }
};

}  // namespace

std::string_view to_text(RatedFault kind) {
  constexpr std::string_view words[] = {"a lost frame", "a body gone for 10 s", "a slow card"};
  return words[static_cast<std::size_t>(kind)];
}

Trial draw(const timeline::Timeline& timeline, const Chances& chances, std::uint64_t number) {
  Luck luck{chances.seed ^ (0xD1B54A32D192ED03U * (number + 1))};
  Trial trial;
  trial.luck = luck.next();
  trial.detune = chances.fastest * std::pow(chances.slowest / chances.fastest, luck.share());
  trial.late = draw_contacts(timeline.circumstances, luck);
  const FaultDraw draw_faults{luck, chances.rates};
  for (const auto& rig : timeline.rigs) trial.faults.push_back(draw_faults(rig));
  return trial;
}

Utc true_contact(const timeline::Timeline& timeline, const Trial& trial, ContactName name) {
  return timeline.circumstances.at(name)->utc + trial.late[static_cast<std::size_t>(name)];
}

}  // namespace noonfall::sim
