#include "sim/body/faults_in_force.h"

#include <algorithm>
#include <utility>

namespace noonfall::sim {
namespace {

bool acts(const Fault& fault, Utc instant) {
  return fault.from <= instant && instant < fault.until && fault.count.value_or(1) > 0;
}

/// The first fault with an `E` that acts and matches, one time used up.
template <class E, class Matches>
const E* strike(std::vector<Fault>& faults, Utc instant, Matches matches) {
  for (auto& fault : faults) {
    const auto* effect = std::get_if<E>(&fault.effect);
    if (effect == nullptr || !acts(fault, instant) || !matches(*effect)) continue;
    if (fault.count) --*fault.count;
    return effect;
  }
  return nullptr;
}

constexpr auto always = [](const auto&) { return true; };

bool names(const RefusedSetting& refused, const SettingValue& value) {
  if (const auto* setting = std::get_if<Setting>(&refused.what)) {
    return static_cast<std::size_t>(*setting) == value.index();
  }
  return std::get<SettingValue>(refused.what) == value;
}

}  // namespace

FaultsInForce::FaultsInForce(std::vector<Fault> faults) : faults_(std::move(faults)) {}

bool FaultsInForce::busy(Utc now) {
  return strike<BusyReleases>(faults_, now, always) != nullptr;
}

bool FaultsInForce::refuses(const SettingValue& value, Utc now) {
  return strike<RefusedSetting>(faults_, now, [&](const auto& refused) { return names(refused, value); }) !=
         nullptr;
}

std::optional<LostFrame::Sign> FaultsInForce::loses(Utc opening) {
  const auto* lost = strike<LostFrame>(faults_, opening, always);
  return lost == nullptr ? std::nullopt : std::optional{lost->sign};
}

bool FaultsInForce::gone(Utc instant) const {
  return std::ranges::any_of(faults_, [&](const auto& fault) {
    return std::holds_alternative<BodyGone>(fault.effect) && acts(fault, instant);
  });
}

std::optional<Utc> FaultsInForce::goes(Utc after, Utc until) const {
  std::optional<Utc> first;
  for (const auto& fault : faults_) {
    if (!std::holds_alternative<BodyGone>(fault.effect)) continue;
    if (fault.from <= after || fault.from > until) continue;
    if (!first || fault.from < *first) first = fault.from;
  }
  return first;
}

}  // namespace noonfall::sim
