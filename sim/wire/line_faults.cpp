#include "sim/wire/line_faults.h"

namespace noonfall::wire {
namespace {

bool acts(const LineFault& fault, Utc instant) {
  return fault.from <= instant && instant < fault.until && fault.count.value_or(1) > 0;
}

template <class E, class Faults>
auto first(Faults& faults, Utc instant, auto matches) -> decltype(&faults.front()) {
  for (auto& fault : faults) {
    const auto* effect = std::get_if<E>(&fault.effect);
    if (effect != nullptr && acts(fault, instant) && matches(*effect)) return &fault;
  }
  return nullptr;
}

constexpr auto any = [](const auto&) { return true; };

/// The first effect of this kind that acts.
template <class E>
const E* in_force(const std::vector<LineFault>& faults, Utc instant) {
  const auto* fault = first<E>(faults, instant, any);
  return fault == nullptr ? nullptr : &std::get<E>(fault->effect);
}

void use_up(LineFault& fault) {
  if (fault.count) --*fault.count;
}

}  // namespace

std::optional<std::uint16_t> LineFaults::refuses(Asked asked, Utc now) {
  constexpr std::uint16_t store_full = 0x200C;
  auto* fault = first<Refused>(faults_, now, [&](const Refused& refused) { return refused.asked == asked; });
  if (fault == nullptr) {
    return asked == Asked::release && card_full(now) ? std::optional{store_full} : std::nullopt;
  }
  use_up(*fault);
  return std::get<Refused>(fault->effect).code;
}

std::optional<Damaged> LineFaults::damages(Utc now) {
  auto* fault = first<Damaged>(faults_, now, any);
  if (fault == nullptr) return std::nullopt;
  use_up(*fault);
  return std::get<Damaged>(fault->effect);
}

std::optional<SlowAnswers> LineFaults::slows(std::uint16_t operation, Utc now) {
  auto* fault = first<SlowAnswers>(
      faults_, now, [&](const SlowAnswers& slow) { return slow.operation.value_or(operation) == operation; });
  if (fault == nullptr) return std::nullopt;
  use_up(*fault);
  return std::get<SlowAnswers>(fault->effect);
}

Duration LineFaults::news_late_by(Utc at) const {
  const auto* late = in_force<LateNews>(faults_, at);
  return late == nullptr ? Duration{} : late->by;
}

Duration LineFaults::settings_slower_by(Utc now) const {
  const auto* slow = in_force<SlowSettings>(faults_, now);
  return slow == nullptr ? Duration{} : slow->by;
}

std::optional<Utc> LineFaults::silent_until(Utc now) const {
  const auto* fault = first<Silence>(faults_, now, any);
  return fault == nullptr ? std::nullopt : std::optional{fault->until};
}

std::optional<std::string> LineFaults::other_serial(Utc now) const {
  const auto* other = in_force<OtherSerial>(faults_, now);
  return other == nullptr ? std::nullopt : std::optional{other->serial};
}

std::optional<int> LineFaults::battery_percent(Utc now) const {
  const auto* low = in_force<LowBattery>(faults_, now);
  return low == nullptr ? std::nullopt : std::optional{low->percent};
}

bool LineFaults::mode_off_manual(Utc now) const {
  return in_force<ModeOffManual>(faults_, now) != nullptr;
}

bool LineFaults::focus_fails(Utc now) const {
  return in_force<FocusFails>(faults_, now) != nullptr;
}

bool LineFaults::card_full(Utc now) const {
  return in_force<CardFull>(faults_, now) != nullptr;
}

bool LineFaults::lies(FalseWords::About about, Utc now) const {
  return first<FalseWords>(faults_, now, [&](const FalseWords& words) { return words.about == about; }) !=
         nullptr;
}

std::optional<FalseWords::About> LineFaults::false_choices(Utc now) const {
  using About = FalseWords::About;
  for (const auto about : {About::no_choices, About::choices_of_zeros, About::choices_of_ones,
                           About::current_value, About::many_choices, About::names}) {
    if (lies(about, now)) return about;
  }
  return std::nullopt;
}

}  // namespace noonfall::wire
