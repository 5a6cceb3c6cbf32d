// Which UTC the plan runs by: decides when the plan's clock goes along with the system clock and when it
// doesn't.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "daemon/clock/grade.h"
#include "daemon/clock/sample.h"
#include "lib/time/boot_clock.h"

namespace noonfall::clock {

/// C2 - 60 s to C3 + 60 s, by the plan's clock, when nothing may move it. Its ends are inside.
struct CriticalSpan {
  Utc from;
  Utc until;
};
[[nodiscard]] constexpr CriticalSpan critical_span(Utc c2, Utc c3) {
  constexpr std::chrono::seconds around{60};
  return {c2 - around, c3 + around};
}

/// Since when, how closely and by whom the plan's clock was last vouched for.
struct Vouched {
  BootTime at;
  Duration bound;
  std::string words;  // "chronyd: 3.2 ms"
};

/// Less difference isn't worth telling every worker; it counts into the bound.
inline constexpr Duration least_change{5'000};
inline constexpr Duration largest_change_at_once{500'000};
/// So far from where it last had two witnesses no single instrument moves the plan's clock: it may lie.
inline constexpr Duration farthest_for_one{10'000'000};

/// A value without a clock. The mapping is on the boot clock, which nobody can set, so while it isn't changed
/// it holds over, the less surely the longer. But whoever slews the system clock slews the boot clock too.
///
/// It goes along with the system clock, less that clock's error, while somebody vouches for this (grade A to
/// C), but for a jump over 0.5 s: that needs grade A or B for 30 s since, or a person's word. More than 10 s
/// away from where it began, or where two instruments or a person last put or found it, it goes only by two
/// instruments of different origin, or a person. Within the critical span it is fixed, once it has been of
/// grade A to C: slews of the boot clock are taken off it. What vouches less well than the holding over and
/// agrees with it changes nothing.
class OffsetRule {
 public:
  /// `kept` is for a mapping that an earlier process of the same boot was running by, graded A to C.
  OffsetRule(ClockMapping first, std::optional<Vouched> kept, std::optional<CriticalSpan> critical)
      : mapping_{first}, vouched_{std::move(kept)}, was_good_{vouched_.has_value()}, critical_{critical} {}

  /// One look at the clocks; in order of boot time. Returns what should be told of it, in words.
  [[nodiscard]] std::vector<std::string> advance(const ClockSample& sample, const Movement& movement,
                                                 const Judgement& verdict);
  /// A person vouches for the system clock: the next look may take a jump.
  void allow_jump() { jump_allowed_ = true; }

  [[nodiscard]] const ClockMapping& mapping() const { return mapping_; }
  /// Of the plan's clock; empty when nobody ever vouched for it, or somebody speaks against both clocks.
  [[nodiscard]] const std::optional<Vouched>& vouched() const { return vouched_; }
  /// How far the corrected system clock was ahead of the plan's at the last look.
  [[nodiscard]] Duration difference() const { return difference_; }
  /// Whether one instrument alone wants it more than 10 s away, and a person or a second one must decide.
  [[nodiscard]] bool wants_second() const { return wants_second_; }
  /// Whether nothing may move the plan's clock against the bare oscillator.
  [[nodiscard]] bool fixed_at(BootTime when) const;

 private:
  void feel(const ClockSample& sample, const Movement& movement);
  void feel_slew(const ClockSample& sample, Duration slewed);
  void keep_grade(const ClockSample& sample, const Judgement& verdict);
  [[nodiscard]] bool may_take(const ClockSample& sample, bool jump_allowed) const;
  [[nodiscard]] bool too_far_for_one(const ClockSample& sample) const;
  void keep_witnessed(const ClockSample& sample, const Judgement& verdict, bool by_person);
  [[nodiscard]] Duration plan_bound(const Judgement& verdict) const;
  [[nodiscard]] bool holds_better(const ClockSample& sample, const Judgement& verdict) const;
  [[nodiscard]] std::string step_words(const ClockSample& sample, Duration stepped) const;
  [[nodiscard]] std::string slew_words(const ClockSample& sample, Duration slewed);
  [[nodiscard]] std::vector<std::string> movement_words(const ClockSample& sample, const Movement& movement);

  ClockMapping mapping_;
  ClockMapping witnessed_ = mapping_;  // when two last agreed on it
  bool wants_second_ = false;
  std::optional<Vouched> vouched_;
  bool was_good_;  // of grade A to C, ever
  std::optional<CriticalSpan> critical_;
  Duration difference_{};
  std::optional<BootTime> good_since_;  // grade A or B without a break, a step or a leap of the difference
  bool jump_allowed_ = false;
  std::optional<BootTime> slewing_at_;  // the last look that saw it, while a slew is under way
  Duration slewed_{};                   // in it
  BootTime looked_ = mapping_.boot;
};

}  // namespace noonfall::clock
