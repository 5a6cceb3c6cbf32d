#include "daemon/clock/gps_time.h"

#include <cstdlib>
#include <utility>

#include <fmt/format.h>

#include "daemon/clock/span_words.h"
#include "lib/base/match.h"
#include "lib/time/time_scales.h"
#include "lib/time/utc_text.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;

/// Serial data come up to half a second after the second they tell of; a 4800 baud receiver may need 0.7 s
/// (gpsd_json(5) on TOFF: 10 to 700 ms).
constexpr Duration half_serial_delay = 250ms;
constexpr Duration label_tolerance = 500ms;

int leap_seconds_due(Utc when) {
  constexpr int tai_minus_gps = 19;  // since 1980-01-06
  return tai_minus_utc_s(built_in_leap_seconds(), when) - tai_minus_gps;
}

bool possible_date(Utc when, Utc built) {
  constexpr std::chrono::weeks rollover{1024};  // the week count of the navigation message has ten bits
  return when >= built && when < built + rollover;
}

std::string why_not_leap_seconds(int counted, Utc when) {
  const int due = leap_seconds_due(when);
  const int unknown_to_us = when > built_in_leap_seconds().valid_until ? 1 : 0;
  if (std::abs(counted - due) <= unknown_to_us) return {};
  return fmt::format("the GPS receiver counts {} leap seconds instead of {}", counted, due);
}

/// A receiver without leap seconds gives GPS time for UTC: it is ahead by their number.
bool is_gps_time(Duration error, Utc when) {
  return std::chrono::abs(error + std::chrono::seconds{leap_seconds_due(when)}) < label_tolerance;
}

}  // namespace

void GpsTime::lost(std::string why) {
  *this = GpsTime{};
  why_lost_ = std::move(why);
}

void GpsTime::forget_offsets() {
  pulses_.clear();
  serial_.clear();
  fix_offset_.reset();
}

void GpsTime::clock_slewed(Duration by) {
  pulses_.shift(by);
  serial_.shift(by);
  if (fix_offset_) *fix_offset_ += by;
}

void GpsTime::take(const GpsdReport& report, BootTime at, Utc system_time) {
  std::visit(Match{[&](const GpsdVersion& version) { version_ = version.major; },
                   [&](const GpsFix& fix) { take_fix(fix, at, system_time); },
                   [&](const GpsOffset& offset) {
                     auto& offsets = offset.of == GpsOffset::Of::pulse ? pulses_ : serial_;
                     offsets.add(at, offset.system - offset.real);
                   }},
             report);
}

void GpsTime::take_fix(const GpsFix& fix, BootTime at, Utc system_time) {
  const bool goes_on = fix_ && fix_->mode >= 2 && at - fix_at_ <= RecentOffsets::longest_silence;
  const auto before = std::exchange(fix_, fix);
  fix_at_ = at;
  if (!goes_on) {
    fixed_since_ = at;
    fix_offset_.reset();
  }
  if (fix.time) fix_offset_ = system_time - *fix.time;
  if (!goes_on) return;
  // Not every report of a fix repeats everything.
  if (!fix.time) fix_->time = before->time;
  if (!fix.leap_seconds) fix_->leap_seconds = before->leap_seconds;
  if (!fix.position && fix.mode >= 2) fix_->position = before->position;
}

std::optional<GpsPosition> GpsTime::position(BootTime now) const {
  if (!fix_ || now - fix_at_ > RecentOffsets::longest_silence) return std::nullopt;
  return fix_->position;
}

std::string GpsTime::why_no_fix(BootTime now, Utc built) const {
  constexpr Duration settling = 60s;
  constexpr int protocol = 3;
  if (!version_) return why_lost_;
  if (*version_ != protocol) {
    return fmt::format("gpsd speaks protocol {}, this program knows {}", *version_, protocol);
  }
  if (!fix_ || now - fix_at_ > RecentOffsets::longest_silence) return "the GPS receiver is silent";
  if (fix_->mode < 2) return "the GPS receiver has no fix";
  if (!fix_->time) return "the GPS receiver doesn't tell the time";
  if (!possible_date(*fix_->time, built)) {
    return "the GPS receiver says that it is " +
           to_text(Date{std::chrono::floor<std::chrono::days>(*fix_->time)});
  }
  if (fix_->leap_seconds) {
    if (auto why = why_not_leap_seconds(*fix_->leap_seconds, *fix_->time); !why.empty()) return why;
  }
  if (now - fixed_since_ < settling) return "the GPS receiver has had its fix for less than a minute";
  return {};
}

Heard<GpsEstimate> GpsTime::from_pulse(const OffsetSummary& pulse, BootTime now) const {
  constexpr Duration widest = 5ms;
  constexpr Duration usb = 1ms;  // a pulse through a USB converter waits for the next poll
  if (pulse.spread > widest) {
    return NotHeard{fmt::format("the GPS pulse scatters over {}", span_words(pulse.spread))};
  }
  const auto serial = serial_.summary(now);
  const auto label = serial ? std::optional{serial->median} : fix_offset_;
  if (!label) return NotHeard{"the GPS receiver doesn't say which second its pulse belongs to"};
  if (const auto apart = std::chrono::abs(*label - pulse.median); apart > label_tolerance) {
    return NotHeard{fmt::format("the GPS receiver's pulse and data are {} apart", span_words(apart))};
  }
  return GpsEstimate{GpsOffset::Of::pulse, pulse.at, pulse.median, usb + pulse.spread};
}

Heard<GpsEstimate> GpsTime::from_serial(BootTime now) const {
  constexpr Duration widest = 500ms;
  const auto serial = serial_.summary(now);
  if (!serial) return NotHeard{"gpsd compares too few seconds with the clock"};
  if (serial->spread > widest) {
    return NotHeard{fmt::format("the GPS receiver's data scatter over {}", span_words(serial->spread))};
  }
  return GpsEstimate{GpsOffset::Of::serial_data, serial->at, serial->median - half_serial_delay,
                     half_serial_delay + serial->spread / 2};
}

Heard<GpsEstimate> GpsTime::estimate(BootTime now, Utc built) const {
  if (auto why = why_no_fix(now, built); !why.empty()) return NotHeard{std::move(why)};
  const auto pulse = pulses_.summary(now);
  auto estimate = pulse ? from_pulse(*pulse, now) : from_serial(now);
  if (!estimate) return estimate;
  if (is_gps_time(estimate->error, *fix_->time)) {
    return NotHeard{fmt::format("the GPS receiver is ahead by the {} leap seconds it doesn't know yet",
                                leap_seconds_due(*fix_->time))};
  }
  return estimate;
}

}  // namespace noonfall::clock
