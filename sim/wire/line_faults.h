// Which of a line's faults act at an instant.
#pragma once

#include <string>
#include <vector>

#include "sim/wire/line_fault.h"

namespace noonfall::wire {

/// Asking whether a counted fault strikes uses it up once, if it does.
class LineFaults {
 public:
  explicit LineFaults(std::vector<LineFault> faults) : faults_{std::move(faults)} {}

  [[nodiscard]] std::optional<std::uint16_t> refuses(Asked asked, Utc now);
  [[nodiscard]] std::optional<Damaged> damages(Utc now);

  [[nodiscard]] std::optional<SlowAnswers> slows(std::uint16_t operation, Utc now);

  [[nodiscard]] Duration news_late_by(Utc at) const;
  [[nodiscard]] Duration settings_slower_by(Utc now) const;
  /// When the body speaks again; empty while it does.
  [[nodiscard]] std::optional<Utc> silent_until(Utc now) const;
  [[nodiscard]] std::optional<std::string> other_serial(Utc now) const;
  [[nodiscard]] std::optional<int> battery_percent(Utc now) const;
  [[nodiscard]] bool mode_off_manual(Utc now) const;
  [[nodiscard]] bool focus_fails(Utc now) const;
  [[nodiscard]] bool card_full(Utc now) const;
  [[nodiscard]] bool lies(FalseWords::About about, Utc now) const;
  /// What is said of choices and of what is chosen.
  [[nodiscard]] std::optional<FalseWords::About> false_choices(Utc now) const;

 private:
  std::vector<LineFault> faults_;
};

}  // namespace noonfall::wire
