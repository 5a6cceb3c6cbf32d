#include "daemon/clock/evidence.h"

#include <utility>

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;

/// Two questions, 10 s apart, and a half: one lost answer is nothing.
constexpr Duration chrony_counts_for = 25s;
constexpr Duration person_bound = 300ms;

}  // namespace

void Evidence::chrony(const ChronyTracking& tracking, const ClockSample& when) {
  chrony_at_ = when.boot;
  chrony_missed_ = "chronyd does not answer";
  if (chrony_must_measure_ && !chrony_unmoved_) chrony_unmoved_ = tracking.reference_time;
  if (chrony_must_measure_ && *chrony_unmoved_ == tracking.reference_time) return;
  chrony_must_measure_ = false;
  chrony_ = judge_tracking(tracking, when.realtime).map([&](const ChronyError& judged) {
    // With a reference clock of its own it is of stratum 1, with servers of a higher one.
    const auto origin = tracking.stratum <= 1 ? Origin::receiver : Origin::network;
    return Reading{Source::chronyd, when.boot, judged.error, judged.bound, origin};
  });
}

void Evidence::chrony_missed(std::string why) {
  chrony_missed_ = std::move(why);
}

void Evidence::kernel(const KernelClock& kernel, BootTime at) {
  if (kernel_must_be_told_) {
    const auto before = std::exchange(kernel_untold_, kernel.max_error);
    kernel_must_be_told_ = !before || kernel.max_error >= *before;
  }
  if (kernel_must_be_told_) return;
  kernel_ = judge_kernel(kernel).map([&](Duration bound) {
    return Reading{Source::kernel, at, Duration{}, bound, Origin::unknown};
  });
}

void Evidence::person(BootTime at) {
  person_ = Reading{Source::person, at, Duration{}, person_bound, Origin::unknown};
}

void Evidence::clock_disturbed() {
  chrony_must_measure_ = true;
  chrony_unmoved_.reset();
  chrony_ = NotHeard{"chronyd has not measured since the clock was disturbed"};
  kernel_ = NotHeard{"nobody has told the kernel the time since the clock was disturbed"};
  kernel_must_be_told_ = true;
  kernel_untold_.reset();
  gps_.forget_offsets();
  person_.reset();
}

void Evidence::clock_slewed(Duration by) {
  if (chrony_) chrony_->error += by;
  if (person_) person_->error += by;
  gps_.clock_slewed(by);
}

bool Evidence::chrony_answers(BootTime now) const {
  return chrony_at_ && now - *chrony_at_ <= chrony_counts_for;
}

Heard<Reading> Evidence::gps_reading(BootTime now, Utc built) const {
  return gps_.estimate(now, built).map([](const GpsEstimate& estimate) {
    const auto source = estimate.of == GpsOffset::Of::pulse ? Source::gps_pulse : Source::gps_serial;
    return Reading{source, estimate.at, estimate.error, estimate.bound, Origin::receiver};
  });
}

std::vector<Heard<Reading>> Evidence::readings(BootTime now, Utc built) const {
  std::vector<Heard<Reading>> all;
  if (chrony_answers(now)) {
    all.push_back(chrony_);
  } else {
    all.emplace_back(NotHeard{chrony_missed_});
    all.push_back(kernel_);
  }
  all.push_back(gps_reading(now, built));
  if (person_) all.emplace_back(*person_);
  return all;
}

}  // namespace noonfall::clock
