#include "daemon/clock/clock_watch.h"

namespace noonfall::clock {

ClockWatch::ClockWatch(boost::asio::io_context& io, ClockWatchSettings settings, OnChange on_change)
    : settings_{std::move(settings)},
      on_change_{std::move(on_change)},
      plan_clock_{settings_.clock, settings_.read_clocks()},
      next_look_{io},
      chrony_{io, settings_.chrony,
              [this](const ChronyTracking& tracking) {
                look();
                plan_clock_.evidence().chrony(tracking, settings_.read_clocks());
                look();
              },
              [this](std::string why) { plan_clock_.evidence().chrony_missed(std::move(why)); }},
      gpsd_{io, settings_.gpsd,
            [this](const GpsdReport& report) {
              look();
              const auto now = settings_.read_clocks();
              plan_clock_.evidence().gps().take(report, now.boot, now.realtime);
            },
            [this](std::string why) { plan_clock_.evidence().gps().lost(std::move(why)); }},
      settings_of_clock_{io, SystemTimer::Of::settings_of_real_time, [this] {
                           look();
                           chrony_.ask();
                         }} {}

void ClockWatch::start() {
  if (settings_.clock.simulated) return;
  settings_of_clock_.start();
  chrony_.start();
  gpsd_.start();
  look_again_later();
}

void ClockWatch::look_again_later() {
  next_look_.expires_after(settings_.look_every);
  next_look_.async_wait([this](const boost::system::error_code& failed) {
    if (failed) return;
    look();
    look_again_later();
  });
}

void ClockWatch::look() {
  const auto now = settings_.read_clocks();
  const auto change = plan_clock_.look(now, settings_.read_kernel());
  if (change) on_change_(*change, mapping());
}

std::string ClockWatch::operator_says_ok() {
  auto heard = plan_clock_.person_says_ok(settings_.read_clocks(), settings_.read_kernel());
  on_change_(heard.change, mapping());
  return std::move(heard.why_not);
}

Utc ClockWatch::now() const {
  return plan_clock_.now(settings_.read_clocks().boot);
}

shotlog::ClockState ClockWatch::state() const {
  return plan_clock_.state(settings_.read_clocks().boot);
}

std::optional<GpsPosition> ClockWatch::position() const {
  return plan_clock_.evidence().gps().position(settings_.read_clocks().boot);
}

std::string ClockWatch::source_words() const {
  return plan_clock_.source_words(settings_.read_clocks().boot);
}

}  // namespace noonfall::clock
