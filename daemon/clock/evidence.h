// The latest word of every source of time, and when it stops counting.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "daemon/clock/chrony_tracking.h"
#include "daemon/clock/gps_time.h"
#include "daemon/clock/grade.h"
#include "daemon/clock/kernel_clock.h"
#include "daemon/clock/sample.h"

namespace noonfall::clock {

/// After the clock was set or slept, every source must have measured it anew: chronyd, whose figures don't
/// show that somebody else set the clock, has done so when its reference time changes between two answers; a
/// time daemon has told the kernel when its maximum error, which grows by itself, has dropped.
class Evidence {
 public:
  void chrony(const ChronyTracking& tracking, const ClockSample& when);
  void chrony_missed(std::string why);
  void kernel(const KernelClock& kernel, BootTime at);
  GpsTime& gps() { return gps_; }
  /// A person compared the system clock with a good one: ±300 ms.
  void person(BootTime at);
  void forget_person() { person_.reset(); }
  void clock_disturbed();
  /// The system clock went `by` further than the oscillator: it is so much further from what was measured. To
  /// be told before anything newer.
  void clock_slewed(Duration by);

  /// The kernel is silent while chronyd answers: its figures are then chronyd's, less honest.
  [[nodiscard]] std::vector<Heard<Reading>> readings(BootTime now, Utc built) const;

 private:
  [[nodiscard]] bool chrony_answers(BootTime now) const;
  [[nodiscard]] Heard<Reading> gps_reading(BootTime now, Utc built) const;

  Heard<Reading> chrony_ = NotHeard{std::string{}};
  std::optional<BootTime> chrony_at_;
  std::string chrony_missed_ = "chronyd does not answer";
  bool chrony_must_measure_ = false;
  std::optional<Utc> chrony_unmoved_;  // its reference time at the first answer after a disturbance
  Heard<Reading> kernel_ = NotHeard{std::string{}};
  bool kernel_must_be_told_ = false;
  std::optional<Duration> kernel_untold_;  // its maximum error at the last look since a disturbance
  GpsTime gps_;
  std::optional<Reading> person_;
};

}  // namespace noonfall::clock
