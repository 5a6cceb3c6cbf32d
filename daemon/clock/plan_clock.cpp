#include "daemon/clock/plan_clock.h"

#include <algorithm>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "daemon/clock/span_words.h"

namespace noonfall::clock {
namespace {

using shotlog::ClockGrade;

ClockMapping first_mapping(const ClockSetting& setting, const ClockSample& first) {
  return setting.kept ? setting.kept->mapping : ClockMapping{first.boot, first.realtime};
}

std::optional<Vouched> first_vouched(const ClockSetting& setting, const ClockSample& first) {
  if (!setting.kept || setting.kept->state.grade == ClockGrade::f) return std::nullopt;
  return Vouched{std::min(setting.kept->at, first.boot), setting.kept->state.bound, "the shot log"};
}

}  // namespace

PlanClock::PlanClock(const ClockSetting& setting, const ClockSample& first)
    : simulated_{setting.simulated},
      sanity_{setting.sanity},
      rule_{first_mapping(setting, first), first_vouched(setting, first), setting.critical},
      last_{first} {
  if (setting.kept) latest_ = setting.kept->mapping.utc_at(setting.kept->at);
  verdict_ = judge(evidence_.readings(first.boot, sanity_.built), first.boot, first.realtime, sanity_);
  if (setting.kept && setting.kept->clocks) {
    const auto moved = movement(*setting.kept->clocks, first);
    if (moved.disturbs()) evidence_.clock_disturbed();
    of_before_ = rule_.advance(first, moved, verdict_);
  }
  told_ = telling(first.boot);
}

std::optional<run::ClockChange> PlanClock::look(const ClockSample& sample, const KernelClock& kernel) {
  if (simulated_) return std::nullopt;
  const auto moved = movement(std::exchange(last_, sample), sample);
  if (moved.disturbs()) evidence_.clock_disturbed();
  evidence_.clock_slewed(moved.slewed);
  evidence_.kernel(kernel, sample.boot);
  verdict_ = judge(evidence_.readings(sample.boot, sanity_.built), sample.boot, sample.realtime, sanity_);
  const auto before = rule_.mapping();
  auto words = std::exchange(of_before_, {});
  for (auto& more : rule_.advance(sample, moved, verdict_)) words.push_back(std::move(more));
  const auto now = telling(sample.boot);
  const bool another = worth_telling(now) || rule_.mapping() != before;
  if (words.empty() && !another) return std::nullopt;
  if (another) words.push_back(description(sample.boot));
  told_ = now;
  return run::ClockChange{state(sample.boot), fmt::format("{}", fmt::join(words, "; "))};
}

PersonHeard PlanClock::person_says_ok(const ClockSample& sample, const KernelClock& kernel) {
  if (simulated_) return {{state(sample.boot), description(sample.boot)}, {}};
  std::vector<std::string> words;
  if (const auto change = look(sample, kernel)) words.push_back(change->why);
  auto why_not = take_person(sample, kernel, words);
  if (!why_not.empty()) words.push_back("the operator's word on the clock is not taken: " + why_not);
  return {{state(sample.boot), fmt::format("{}", fmt::join(words, "; "))}, std::move(why_not)};
}

/// Returns why it isn't taken.
std::string PlanClock::take_person(const ClockSample& sample, const KernelClock& kernel,
                                   std::vector<std::string>& words) {
  if (auto why_not = why_not_person(); !why_not.empty()) return why_not;
  evidence_.person(sample.boot);
  rule_.allow_jump();
  const auto change = look(sample, kernel);
  if (verdict_.standing == Standing::bad) {
    evidence_.forget_person();
    return verdict_.words;
  }
  words.emplace_back("the operator vouches for the clock");
  if (change) words.push_back(change->why);
  return {};
}

std::string PlanClock::why_not_person() const {
  const auto ahead = rule_.difference();
  if (std::chrono::abs(ahead) > largest_change_at_once && rule_.fixed_at(last_.boot)) {
    return fmt::format("the plan's clock would jump {} between C2 - 60 s and C3 + 60 s", shift_words(ahead));
  }
  if (verdict_.standing != Standing::vouched || std::chrono::abs(verdict_.error) <= farthest_for_one)
    return {};
  return fmt::format("{} finds the computer's clock {} {}: set that clock first, or switch off what is wrong",
                     name_of(*verdict_.source), span_words(verdict_.error),
                     verdict_.error.count() > 0 ? "ahead" : "behind");
}

ClockMapping PlanClock::mapping() const {
  return simulated_.value_or(rule_.mapping());
}

shotlog::ClockState PlanClock::state(BootTime when) const {
  if (simulated_) return {ClockGrade::a, Duration{}};
  if (!rule_.vouched()) return {};
  return state_of(aged(rule_.vouched()->bound, when - rule_.vouched()->at));
}

Utc PlanClock::now(BootTime when) {
  return latest_ = std::max(latest_, mapping().utc_at(when));
}

PlanClock::Footing PlanClock::footing() const {
  const bool bad = verdict_.standing == Standing::bad;
  if (!rule_.vouched()) return bad ? Footing::contradicted : Footing::nobody;
  const bool just_now = verdict_.standing != Standing::unknown && rule_.vouched()->at == last_.boot;
  return just_now ? Footing::somebody : Footing::held_over;
}

PlanClock::Told PlanClock::telling(BootTime when) const {
  const auto stands_on = footing();
  const auto now = state(when);
  return {now.grade, stands_on, stands_on == Footing::somebody ? verdict_.source : std::nullopt, now.bound};
}

bool PlanClock::worth_telling(const Told& telling) const {
  if (telling.grade != told_.grade || telling.footing != told_.footing || telling.source != told_.source) {
    return true;
  }
  constexpr Duration least{1'000};
  const auto bound = std::max(telling.bound, least);
  const auto told = std::max(told_.bound, least);
  return bound >= 2 * told || 4 * bound <= told;
}

std::string PlanClock::difference_words() const {
  const auto ahead = rule_.difference();
  if (std::chrono::abs(ahead) < least_change) return {};
  return fmt::format("; the system clock is {} {} the plan's", span_words(ahead),
                     ahead.count() > 0 ? "ahead of" : "behind");
}

std::string PlanClock::remedy() const {
  return fmt::format(
      "compare clocks, say \"clock ok\": {}, says {} alone; set the computer's clock first where it is wrong",
      shift_words(rule_.difference()), name_of(*verdict_.source));
}

std::string PlanClock::description(BootTime when) const {
  if (simulated_) {
    return simulated_->speed == 1 ? "a simulated clock"
                                  : fmt::format("a simulated clock at {} x", simulated_->speed);
  }
  const auto stands_on = footing();
  if (stands_on == Footing::somebody && rule_.wants_second()) return remedy();
  if (stands_on == Footing::somebody) return rule_.vouched()->words + difference_words();
  if (stands_on != Footing::held_over) return verdict_.words + difference_words();
  auto words =
      fmt::format("{}, held over for {}", rule_.vouched()->words, span_words(when - rule_.vouched()->at));
  if (verdict_.standing != Standing::vouched) words += "; " + verdict_.words;
  return words + difference_words();
}

std::string PlanClock::source_words(BootTime when) const {
  auto words = description(when);
  constexpr std::chrono::seconds noticeable{1};
  const auto reached = mapping().utc_at(when);
  if (latest_ >= reached + noticeable) {
    words += fmt::format("; the plan's time stands still for {}", span_words(latest_ - reached));
  }
  return words;
}

}  // namespace noonfall::clock
