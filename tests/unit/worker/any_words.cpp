#include "tests/unit/worker/any_words.h"

#include <rapidcheck.h>

#include "lib/exposure/scale.h"

namespace noonfall::worker {
namespace {

template <class T>
T one_of(const std::vector<T>& values) {
  return *rc::gen::elementOf(values);
}

template <class T>
T element_of(std::span<const T> values) {
  return values[*rc::gen::inRange<std::size_t>(0, values.size())];
}

bool coin() {
  return *rc::gen::arbitrary<bool>();
}

/// Any microsecond of two centuries, or the epoch.
Utc any_instant() {
  constexpr std::int64_t century_us = 36'525LL * 86'400 * 1'000'000;
  return coin() && coin() ? Utc{} : Utc{Duration{*rc::gen::inRange(-century_us, century_us)}};
}

std::string any_text() {
  return *rc::gen::container<std::string>(
      rc::gen::elementOf(std::string{"abc XYZ 019 \"\\/{}[]:,\n\t\x01\x7f"}));
}

order::FrameId any_frame_id() {
  const auto number = [] { return *rc::gen::arbitrary<std::int32_t>(); };
  return {number(), number(), number(), number()};
}

exposure::Exposure any_exposure() {
  exposure::Exposure exposure{
      coin() ? element_of(exposure::third_stop_shutters()) : *exposure::parse_shutter("1.7 s"), std::nullopt,
      element_of(exposure::third_stop_isos())};
  if (coin()) exposure.aperture = element_of(exposure::third_stop_f_numbers());
  return exposure;
}

body::Drive any_drive() {
  return coin() ? body::Drive::single : body::Drive::continuous;
}

std::int64_t any_count() {
  return *rc::gen::inRange<std::int64_t>(1, 1'000'000);
}

order::Report any_report() {
  switch (*rc::gen::inRange(0, 4)) {
    case 0:
      return order::OrderStarted{any_count(), any_instant()};
    case 1:
      return order::OrderDone{any_count(), any_instant()};
    case 2:
      return order::RigState{*rc::gen::arbitrary<std::int32_t>(), coin(), any_instant(), any_text(),
                             any_text()};
    default:
      break;
  }
  order::FrameDone done{any_count(),   any_frame_id(), {}, any_instant(), any_instant(), any_instant(),
                        any_instant(), any_exposure(), {}, any_text()};
  done.outcome =
      one_of<order::Outcome>({order::Outcome::fired, order::Outcome::failed, order::Outcome::unknown,
                              order::Outcome::skipped, order::Outcome::cancelled});
  for (int n = *rc::gen::inRange(0, 3); n > 0; --n) done.files.push_back(any_text());
  return done;
}

BootTime any_boot_time() {
  return BootTime{any_instant().time_since_epoch()};
}

}  // namespace

order::Order any_order(int most) {
  order::Order order;
  order.id = any_count();
  order.drive = any_drive();
  order.prepare_from = any_instant();
  order.earliest = any_instant();
  order.whole_or_none = coin();
  if (coin()) order.closed_by = any_instant();
  for (int n = *rc::gen::inRange(1, most + 1); n > 0; --n) {
    order.frames.push_back({any_frame_id(), any_exposure(), any_instant(), any_instant()});
  }
  return order;
}

ToWorker any_to_worker() {
  switch (*rc::gen::inRange(0, 9)) {
    case 0:
      return DaemonHello{*rc::gen::arbitrary<std::int32_t>()};
    case 1:
      return ClockMapping{any_boot_time(), any_instant(), one_of<double>({1, 60, 0.1, 1000, 1.0 / 3 + 1})};
    case 2:
      return order::Cancel{any_count(), any_text()};
    case 3:
      return order::Recover{one_of<order::Remedy>({order::Remedy::drain_and_retry, order::Remedy::reopen,
                                                   order::Remedy::reset_port, order::Remedy::restart_worker}),
                            any_instant(), coin()};
    case 4:
      return Acknowledge{any_count()};
    case 5:
      return Quit{};
    case 7:
      return MayLook{coin()};
    case 6:
      return NextDue{coin() ? any_instant() : Utc::max()};
    default:
      return any_order(20);
  }
}

FromWorker any_from_worker() {
  switch (*rc::gen::inRange(0, 6)) {
    case 0: {
      WorkerHello hello{protocol_version, 4711, 3,          {any_text(), any_text(), any_text()},
                        any_count(),      {},   any_count()};
      for (int n = *rc::gen::inRange(0, 4); n > 0; --n) {
        hello.held.push_back({any_count(), coin() ? std::optional{any_instant()} : std::nullopt});
      }
      return hello;
    }
    case 1: {
      Alive alive;
      if (coin()) alive.call = Alive::Call{any_text(), any_boot_time(), any_boot_time()};
      if (coin()) alive.levels.battery_percent = *rc::gen::inRange(0, 101);
      if (coin()) alive.levels.card_frames = *rc::gen::inRange(0, 1'000'000);
      return alive;
    }
    case 2:
      return Note{any_text()};
    case 4: {
      Picture picture{any_frame_id(), any_instant(), any_exposure(), {}, {}};
      picture.seen = {*rc::gen::inRange(0, 100'000), 0.25, 0.5, 0.125, 0.0625, look::Side::top};
      for (int n = *rc::gen::inRange(0, 300); n > 0; --n)
        picture.jpeg += static_cast<char>(*rc::gen::inRange(0, 256));
      return picture;
    }
    case 3:
      return Refusal{any_text(), coin() ? std::optional{any_count()} : std::nullopt};
    default:
      return NumberedReport{any_count(), any_report()};
  }
}

}  // namespace noonfall::worker
