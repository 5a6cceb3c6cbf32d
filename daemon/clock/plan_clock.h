// The plan's clock: from what the clocks and their sources say, which UTC the plan runs by and how far that
// can be trusted.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "daemon/clock/evidence.h"
#include "daemon/clock/offset_rule.h"
#include "lib/run/input_output.h"
#include "lib/shotlog/line.h"

namespace noonfall::clock {

/// What an earlier process of the same boot was running by, from its log.
struct KeptClock {
  ClockMapping mapping;
  shotlog::ClockState state;
  /// When the state was that: the last time it gave, which may be still to come if it stood still.
  BootTime at;
  std::optional<shotlog::ClockReadings> clocks = std::nullopt;  // as last seen
};

struct ClockSetting {
  Sanity sanity;
  std::optional<CriticalSpan> critical;  // none for a partial eclipse
  std::optional<KeptClock> kept;
  std::optional<ClockMapping> simulated;  // nobody is asked then: a clock that is right by definition
};

/// What became of a person's word.
struct PersonHeard {
  run::ClockChange change;  // to be told, taken or not
  std::string why_not;      // why it wasn't taken; empty when it was
};

/// A value without a clock or a socket: everything comes as arguments, in order of boot time.
class PlanClock {
 public:
  /// What the clocks did since an earlier process saw them counts as if it had been seen; the first look
  /// tells.
  PlanClock(const ClockSetting& setting, const ClockSample& first);

  Evidence& evidence() { return evidence_; }

  /// One look at the clocks, once a second, before each new piece of evidence and whenever the system clock
  /// was set. Returns what the run should know: another mapping, another grade or source, a bound that has
  /// doubled, the clock being set.
  [[nodiscard]] std::optional<run::ClockChange> look(const ClockSample& sample, const KernelClock& kernel);
  /// `clock ok`: a person has compared the system clock with a good one. Takes effect at once, and never
  /// within the critical span if it would mean a jump, nor against an instrument over 10 s away.
  [[nodiscard]] PersonHeard person_says_ok(const ClockSample& sample, const KernelClock& kernel);

  [[nodiscard]] ClockMapping mapping() const;
  [[nodiscard]] shotlog::ClockState state(BootTime when) const;
  /// The plan's time: never less than it returned before, so it stands still after the plan's clock was put
  /// back.
  [[nodiscard]] Utc now(BootTime when);
  /// For a status view, beside the grade: "chronyd: 3.2 ms".
  [[nodiscard]] std::string source_words(BootTime when) const;

 private:
  enum class Footing { nobody, somebody, held_over, contradicted };
  struct Told {
    shotlog::ClockGrade grade = shotlog::ClockGrade::f;
    Footing footing = Footing::nobody;
    std::optional<Source> source;
    Duration bound{};
  };

  [[nodiscard]] std::string take_person(const ClockSample& sample, const KernelClock& kernel,
                                        std::vector<std::string>& words);
  [[nodiscard]] Footing footing() const;
  [[nodiscard]] Told telling(BootTime when) const;
  [[nodiscard]] bool worth_telling(const Told& telling) const;
  [[nodiscard]] std::string description(BootTime when) const;
  [[nodiscard]] std::string difference_words() const;
  [[nodiscard]] std::string why_not_person() const;
  [[nodiscard]] std::string remedy() const;  // first, for a line that is cut

  std::optional<ClockMapping> simulated_;
  Sanity sanity_;
  Evidence evidence_;
  OffsetRule rule_;
  ClockSample last_;
  Judgement verdict_;
  Told told_;
  Utc latest_ = Utc::min();
  std::vector<std::string> of_before_;  // what the clocks did since an earlier process, until it is told
};

}  // namespace noonfall::clock
