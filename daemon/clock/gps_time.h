// What gpsd's reports together say of the system clock, and whether its receiver may be believed.
#pragma once

#include <optional>
#include <string>

#include "daemon/clock/gpsd_reports.h"
#include "daemon/clock/heard.h"
#include "daemon/clock/recent_offsets.h"
#include "lib/time/boot_clock.h"

namespace noonfall::clock {

/// The error of the system clock (its reading less the truth) is within `bound` of `error`.
struct GpsEstimate {
  GpsOffset::Of of = GpsOffset::Of::serial_data;
  BootTime at;
  Duration error{};
  Duration bound{};
};

/// A fix must have lasted 60 s, its date be possible and its leap seconds right; pulse and data must agree on
/// the second. A receiver that has just been switched on fails one of these for up to 12.5 minutes: so long
/// it takes to be told the leap seconds (IS-GPS-200, one whole navigation message). A wrong count of a few
/// seconds can't be told from a clock that is wrong by as much.
class GpsTime {
 public:
  /// `system_time` is the system clock's reading when the report came.
  void take(const GpsdReport& report, BootTime at, Utc system_time);
  /// The line to gpsd is down; whatever it said is forgotten.
  void lost(std::string why);
  /// The system clock was set: offsets from before mean nothing now.
  void forget_offsets();
  /// The system clock went `by` further than the oscillator.
  void clock_slewed(Duration by);

  /// `built` is when this program was: no date before it is possible, nor one 1024 weeks after, where
  /// receivers with an old week count land.
  [[nodiscard]] Heard<GpsEstimate> estimate(BootTime now, Utc built) const;
  /// Where the receiver is; empty without a fix, or when it is silent.
  [[nodiscard]] std::optional<GpsPosition> position(BootTime now) const;

 private:
  void take_fix(const GpsFix& fix, BootTime at, Utc system_time);
  [[nodiscard]] std::string why_no_fix(BootTime now, Utc built) const;
  [[nodiscard]] Heard<GpsEstimate> from_pulse(const OffsetSummary& pulse, BootTime now) const;
  [[nodiscard]] Heard<GpsEstimate> from_serial(BootTime now) const;

  std::string why_lost_ = "gpsd does not answer";
  std::optional<int> version_;
  std::optional<GpsFix> fix_;
  BootTime fix_at_;
  BootTime fixed_since_;
  std::optional<Duration> fix_offset_;  // the system clock less the time of the last fix, when that came
  RecentOffsets pulses_;
  RecentOffsets serial_;
};

}  // namespace noonfall::clock
