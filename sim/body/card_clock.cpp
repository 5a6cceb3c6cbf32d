#include "sim/body/card_clock.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "sim/body/detune.h"

namespace noonfall::sim {
namespace {

double rate_at(const std::vector<Fault>& faults, Utc instant) {
  double rate = 1;
  for (const auto& fault : faults) {
    const auto* slow = std::get_if<SlowCard>(&fault.effect);
    if (slow != nullptr && fault.from <= instant && instant < fault.until) rate = std::min(rate, slow->rate);
  }
  return rate;
}

std::set<Utc> changes(const std::vector<Fault>& faults) {
  std::set<Utc> instants;
  for (const auto& fault : faults) {
    if (!std::holds_alternative<SlowCard>(fault.effect)) continue;
    instants.insert(fault.from);
    if (fault.until != Utc::max()) instants.insert(fault.until);
  }
  return instants;
}

}  // namespace

CardClock::CardClock(const std::vector<Fault>& faults) {
  for (const auto instant : changes(faults)) {
    stretches_.push_back({instant, card_time(instant), rate_at(faults, instant)});
  }
}

Utc CardClock::card_time(Utc utc) const {
  const auto after = std::ranges::upper_bound(stretches_, utc, {}, &Stretch::from);
  if (after == stretches_.begin()) return utc;
  const auto& in = *std::prev(after);
  return in.card_from + scaled(utc - in.from, in.rate);
}

Utc CardClock::utc(Utc card_time) const {
  const auto after = std::ranges::upper_bound(stretches_, card_time, {}, &Stretch::card_from);
  if (after == stretches_.begin() || card_time == Utc::max()) return card_time;
  const auto& in = *std::prev(after);
  const auto behind = static_cast<double>((card_time - in.card_from).count());
  return in.from + Duration{static_cast<std::int64_t>(std::ceil(behind / in.rate))};
}

}  // namespace noonfall::sim
