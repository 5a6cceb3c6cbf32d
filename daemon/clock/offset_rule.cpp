#include "daemon/clock/offset_rule.h"

#include <utility>

#include <fmt/format.h>

#include "daemon/clock/span_words.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;
using shotlog::ClockGrade;

constexpr Duration good_for = 30s;
/// The boot clock after a sleep was set from a real-time clock that knows whole seconds.
constexpr Duration sleep_error = 1s;
/// Two looks may be too close to each other to see it.
constexpr Duration slew_pause = 500ms;

}  // namespace

bool OffsetRule::fixed_at(BootTime when) const {
  if (!critical_ || !was_good_) return false;
  const auto utc = mapping_.utc_at(when);
  return utc >= critical_->from && utc <= critical_->until;
}

void OffsetRule::feel_slew(const ClockSample& sample, Duration slewed) {
  const auto since = sample.boot - std::exchange(looked_, sample.boot);
  if (slewed.count() == 0) return;
  auto unsure = std::chrono::abs(slewed);
  if (fixed_at(sample.boot)) {
    mapping_ = {sample.boot, mapping_.utc_at(sample.boot) - slewed};
    witnessed_ = {sample.boot, witnessed_.utc_at(sample.boot) - slewed};
    // The frequency correction went with the slew.
    unsure = from_seconds(in_seconds(since) * least_slew_ppm * 1e-6);
  }
  if (vouched_) vouched_->bound += unsure;
}

void OffsetRule::feel(const ClockSample& sample, const Movement& movement) {
  feel_slew(sample, movement.slewed);
  if (movement.disturbs()) good_since_.reset();
  if (!vouched_) return;
  if (movement.slept.count() == 0) return;
  vouched_->bound = aged(vouched_->bound, sample.boot - vouched_->at) + sleep_error;
  vouched_->at = sample.boot;
}

void OffsetRule::keep_grade(const ClockSample& sample, const Judgement& verdict) {
  const auto was = std::exchange(difference_, sample.realtime - verdict.error - mapping_.utc_at(sample.boot));
  const bool good = verdict.standing == Standing::vouched && grade_of(verdict.bound) <= ClockGrade::b;
  const bool leapt = std::chrono::abs(difference_ - was) > largest_change_at_once;
  if (!good || leapt) good_since_.reset();
  if (good && !good_since_) good_since_ = sample.boot;
}

bool OffsetRule::may_take(const ClockSample& sample, bool jump_allowed) const {
  const auto size = std::chrono::abs(difference_);
  if (size < least_change || fixed_at(sample.boot)) return false;
  if (size <= largest_change_at_once || jump_allowed) return true;
  return good_since_ && sample.boot - *good_since_ >= good_for;
}

bool OffsetRule::too_far_for_one(const ClockSample& sample) const {
  const auto wanted = mapping_.utc_at(sample.boot) + difference_;
  return std::chrono::abs(wanted - witnessed_.utc_at(sample.boot)) > farthest_for_one;
}

/// Whoever finds the plan's clock right where it is is a witness as good as who moves it.
void OffsetRule::keep_witnessed(const ClockSample& sample, const Judgement& verdict, bool by_person) {
  const bool here = std::chrono::abs(difference_) <= largest_change_at_once;
  if (here && (verdict.seconded || by_person)) witnessed_ = {sample.boot, mapping_.utc_at(sample.boot)};
}

/// How far the plan's clock may be off by what was measured of the system's.
Duration OffsetRule::plan_bound(const Judgement& verdict) const {
  if (!verdict.source) return Duration::max();
  const auto measured_bound = verdict.bound - std::chrono::abs(verdict.left);
  return measured_bound + std::chrono::abs(verdict.left - difference_);
}

bool OffsetRule::holds_better(const ClockSample& sample, const Judgement& verdict) const {
  if (!vouched_) return false;
  const auto held = aged(vouched_->bound, sample.boot - vouched_->at);
  if (grade_of(held) >= grade_of(plan_bound(verdict))) return false;
  const auto measured_bound = verdict.bound - std::chrono::abs(verdict.left);
  return std::chrono::abs(verdict.left - difference_) <= measured_bound + held;
}

std::string OffsetRule::step_words(const ClockSample& sample, Duration stepped) const {
  const auto* why = fixed_at(sample.boot) ? "not taken between C2 - 60 s and C3 + 60 s"
                                          : "not taken until somebody vouches for it";
  return fmt::format("the system clock was set {}; {}", shift_words(stepped), why);
}

std::vector<std::string> OffsetRule::movement_words(const ClockSample& sample, const Movement& movement) {
  std::vector<std::string> words;
  if (movement.stepped.count() != 0) words.push_back(step_words(sample, movement.stepped));
  if (movement.slept.count() != 0) {
    words.push_back(fmt::format("the computer slept for {}: its clock may be off by a second since",
                                span_words(movement.slept)));
  }
  if (auto slew = slew_words(sample, movement.slewed); !slew.empty()) words.push_back(std::move(slew));
  return words;
}

std::string OffsetRule::slew_words(const ClockSample& sample, Duration slewed) {
  if (slewed.count() == 0) {
    if (!slewing_at_ || sample.boot - *slewing_at_ < slew_pause) return {};
    slewing_at_.reset();
    return "the system clock was slewed " + shift_words(std::exchange(slewed_, {}));
  }
  slewed_ += slewed;
  if (std::exchange(slewing_at_, sample.boot)) return {};
  return fixed_at(sample.boot) ? "the system clock is being slewed, the plan's clock is not"
                               : "the system clock is being slewed";
}

std::vector<std::string> OffsetRule::advance(const ClockSample& sample, const Movement& movement,
                                             const Judgement& verdict) {
  auto words = movement_words(sample, movement);
  feel(sample, movement);
  keep_grade(sample, verdict);
  const bool jump_allowed = std::exchange(jump_allowed_, false);
  const bool two_say_so = jump_allowed || verdict.seconded;
  wants_second_ = verdict.standing == Standing::vouched && !two_say_so && too_far_for_one(sample);
  if (verdict.standing == Standing::bad && grade_of(plan_bound(verdict)) == ClockGrade::f) vouched_.reset();
  const bool speaks_for_plan =
      verdict.standing == Standing::vouched || (verdict.standing == Standing::bad && vouched_);
  if (!speaks_for_plan || holds_better(sample, verdict)) return words;
  if (verdict.standing == Standing::vouched && !wants_second_ && may_take(sample, jump_allowed)) {
    words.push_back("the plan's clock was put " + shift_words(difference_));
    mapping_ = {sample.boot, sample.realtime - verdict.error};
    difference_ = {};
  }
  keep_witnessed(sample, verdict, jump_allowed);
  const auto bound = plan_bound(verdict);
  vouched_ = Vouched{sample.boot, bound, words_of(*verdict.source, bound)};
  if (grade_of(bound) != ClockGrade::f) was_good_ = true;
  return words;
}

}  // namespace noonfall::clock
