// A pretend machine whose clocks a test can set, slew and put to sleep.
#pragma once

#include "daemon/clock/sample.h"

namespace noonfall::clock::tests {

inline constexpr Utc noon{std::chrono::sys_days{std::chrono::year{2027} / 8 / 2} + std::chrono::hours{8}};

class Machine {
 public:
  /// The system clock shows `noon` at 1000 s after boot.
  Machine()
      : now_{BootTime{std::chrono::seconds{1000}}, noon, std::chrono::seconds{1000},
             std::chrono::seconds{1000}} {}

  const ClockSample& now() const { return now_; }
  /// Its oscillator is perfect, and so was its clock at first.
  Utc truth() const { return noon + (now_.raw - std::chrono::seconds{1000}) + slept_; }
  const ClockSample& pass(Duration span);
  /// `extra` is how much further than the bare oscillator the disciplined clocks go meanwhile.
  const ClockSample& slew(Duration span, Duration extra);
  const ClockSample& sleep(Duration span);
  const ClockSample& step(Duration by);

 private:
  ClockSample now_;
  Duration slept_{};
};

}  // namespace noonfall::clock::tests
