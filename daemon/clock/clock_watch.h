// The plan's clock at work: asks chronyd, gpsd and the kernel, watches the machine's clocks, and tells when
// what the plan runs by has changed.
#pragma once

#include <functional>
#include <optional>
#include <string>

#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>

#include "daemon/clock/chrony_client.h"
#include "daemon/clock/gpsd_client.h"
#include "daemon/clock/kernel_clock.h"
#include "daemon/clock/plan_clock.h"
#include "daemon/clock/read_clocks.h"
#include "daemon/clock/system_timer.h"

namespace noonfall::clock {

struct ClockWatchSettings {
  ClockSetting clock;
  ChronyClient::Settings chrony;
  GpsdClient::Settings gpsd;
  std::chrono::milliseconds look_every{1'000};
  ReadClocks read_clocks = clock::read_clocks;
  ReadKernelClock read_kernel = read_kernel_clock;
};

/// Of one thread, the io_context's; never blocks. Nobody may run the io_context any more once this is gone.
class ClockWatch {
 public:
  /// Called from the io_context and from operator_says_ok(), with the mapping to run by from then on, which
  /// may be the old one.
  using OnChange = std::function<void(const run::ClockChange&, const ClockMapping&)>;

  ClockWatch(boost::asio::io_context& io, ClockWatchSettings settings, OnChange on_change);

  /// Until the first change state() is what it is now: grade F unless a kept or a simulated clock was given.
  void start();
  /// Returns why the operator's word isn't taken; empty when it is.
  std::string operator_says_ok();

  [[nodiscard]] ClockSample sample() const { return settings_.read_clocks(); }
  [[nodiscard]] ClockMapping mapping() const { return plan_clock_.mapping(); }
  [[nodiscard]] Utc now() const;
  [[nodiscard]] shotlog::ClockState state() const;
  /// For a status view, beside the grade: "chronyd: 3.2 ms".
  [[nodiscard]] std::string source_words() const;
  /// By gpsd's receiver, while it has a fix.
  [[nodiscard]] std::optional<GpsPosition> position() const;

 private:
  void look();
  void look_again_later();

  ClockWatchSettings settings_;
  OnChange on_change_;
  mutable PlanClock plan_clock_;  // remembers the latest time it gave
  boost::asio::steady_timer next_look_;
  ChronyClient chrony_;
  GpsdClient gpsd_;
  SystemTimer settings_of_clock_;
};

}  // namespace noonfall::clock
