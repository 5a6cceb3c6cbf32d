// A day at one machine with chronyd and a receiver, and what the run is told of its clock.
#pragma once

#include <sys/timex.h>

#include <optional>
#include <string>

#include "daemon/clock/plan_clock.h"
#include "tests/unit/clock/machine.h"

namespace noonfall::clock::tests {

/// As the status view puts them together: "A, chronyd: 3.2 ms".
inline std::string graded_words(const PlanClock& clock, BootTime when) {
  return std::string{shotlog::to_text(clock.state(when).grade)} + ", " + clock.source_words(when);
}

using namespace std::chrono_literals;

inline const KernelClock unkept{TIME_ERROR, STA_UNSYNC, 16s};

inline ClockSetting setting() {
  return {{noon - std::chrono::days{100}, noon + 1h}, critical_span(noon + 600s, noon + 900s), {}, {}};
}

/// A day at one machine; what the run is told piles up in `told`.
struct Day {
  Machine machine;
  PlanClock clock;
  KernelClock kernel = unkept;
  std::string told;                       // a line for each
  std::optional<Duration> chronyd_bound;  // chronyd runs while set, and measures every 16 s
  Utc chronyd_measured = noon;
  Duration system_error{};            // as chronyd finds it
  std::uint16_t chronyd_stratum = 1;  // with a reference clock of its own; by servers 2 and more

  explicit Day(const ClockSetting& with = setting()) : clock{with, machine.now()} {}

  void keep(const std::optional<run::ClockChange>& change) {
    if (change) told += std::string{shotlog::to_text(change->state.grade)} + ": " + change->why + "\n";
  }
  void look() { keep(clock.look(machine.now(), kernel)); }
  void ask_chronyd() {
    if (!chronyd_bound) return clock.evidence().chrony_missed("chronyd does not run");
    ChronyTracking tracking;
    tracking.reference_id = 0x50505300;
    tracking.stratum = chronyd_stratum;
    tracking.reference_time = chronyd_measured;
    tracking.correction_s = -in_seconds(system_error);
    tracking.root_dispersion_s = in_seconds(*chronyd_bound);
    tracking.update_interval_s = 16;
    clock.evidence().chrony(tracking, machine.now());
  }
  void seconds(int count, Duration slewed_each = {}) {
    for (int i = 0; i < count; ++i) {
      machine.slew(1s, slewed_each);
      system_error += slewed_each;
      const auto second = machine.now().boot.time_since_epoch() / 1s;
      if (chronyd_bound && second % 16 == 0) chronyd_measured = machine.now().realtime - system_error;
      look();
      if (second % 10 != 0) continue;
      ask_chronyd();
      look();
    }
  }
  void gps(Duration error, int count) {
    clock.evidence().gps().take(GpsdVersion{3}, machine.now().boot, machine.now().realtime);
    for (int i = 0; i < count; ++i) {
      const auto& now = machine.pass(1s);
      auto& receiver = clock.evidence().gps();
      receiver.take(GpsFix{3, now.realtime - error, {}}, now.boot, now.realtime);
      receiver.take(GpsOffset{GpsOffset::Of::pulse, now.realtime - error, now.realtime}, now.boot,
                    now.realtime);
      look();
    }
  }
  Duration ahead() { return clock.mapping().utc_at(machine.now().boot) - machine.now().realtime; }
  /// Why the person's word wasn't taken.
  std::string person_says_ok() {
    const auto heard = clock.person_says_ok(machine.now(), kernel);
    keep(heard.change);
    return heard.why_not;
  }
  shotlog::ClockState state() { return clock.state(machine.now().boot); }
  std::string words() { return graded_words(clock, machine.now().boot); }
};

}  // namespace noonfall::clock::tests
