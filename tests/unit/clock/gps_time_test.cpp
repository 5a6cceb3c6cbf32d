// Offsets and their meaning: gpsd_json(5) on TOFF and PPS. Leap seconds: IERS Bulletin C; GPS time:
// IS-GPS-200.
#include "daemon/clock/gps_time.h"

#include <doctest/doctest.h>

#include "lib/time/utc_text.h"
#include "tests/unit/clock/machine.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;
using tests::Machine;
using tests::noon;

const Utc built = noon - std::chrono::days{100};

/// A receiver on gpsd, second by second. Errors are of the system clock: its reading less the receiver's.
struct Receiver {
  Machine machine;
  GpsTime gps;
  int mode = 3;
  std::optional<int> leap_seconds;
  std::optional<Duration> pulse = 2ms;
  std::optional<Duration> serial = 130ms;
  Duration pulse_jitter{};
  std::optional<Utc> date;  // instead of the right one

  Receiver() { gps.take(GpsdVersion{3}, machine.now().boot, machine.now().realtime); }

  void second() {
    const auto& now = machine.pass(1s);
    const auto real = now.realtime - pulse.value_or(serial.value_or(0s));
    gps.take(GpsFix{mode, date.value_or(real), leap_seconds}, now.boot, now.realtime);
    const auto offset = [&](GpsOffset::Of of, Duration error) {
      gps.take(GpsOffset{of, now.realtime - error, now.realtime}, now.boot, now.realtime);
    };
    if (serial) offset(GpsOffset::Of::serial_data, *serial);
    if (pulse) offset(GpsOffset::Of::pulse, *pulse + (now.boot.time_since_epoch() / 1s % 2) * pulse_jitter);
  }
  void seconds(int count) {
    for (int i = 0; i < count; ++i) second();
  }
  Heard<GpsEstimate> estimate() const { return gps.estimate(machine.now().boot, built); }
  std::string refusal() const {
    const auto heard = estimate();
    return heard ? "" : heard.error();
  }
};

}  // namespace

TEST_CASE("a pulse gives the clock's error to a millisecond") {
  Receiver receiver;
  receiver.seconds(61);
  const auto estimate = receiver.estimate();
  REQUIRE(estimate);
  CHECK(estimate->of == GpsOffset::Of::pulse);
  CHECK(estimate->error == 2ms);
  CHECK(estimate->bound == 1ms);
  CHECK(estimate->at == receiver.machine.now().boot);
}

TEST_CASE("serial data give the second, half a second wide") {
  Receiver receiver;
  receiver.pulse.reset();
  receiver.seconds(61);
  const auto estimate = receiver.estimate();
  REQUIRE(estimate);
  CHECK(estimate->of == GpsOffset::Of::serial_data);
  CHECK(estimate->error == -120ms);
  CHECK(estimate->bound == 250ms);
}

TEST_CASE("a fix counts after a minute, and anew after each loss") {
  Receiver receiver;
  receiver.seconds(60);
  CHECK(receiver.refusal() == "the GPS receiver has had its fix for less than a minute");
  receiver.second();
  CHECK(receiver.refusal() == "");
  receiver.mode = 1;
  receiver.second();
  CHECK(receiver.refusal() == "the GPS receiver has no fix");
  receiver.mode = 2;
  receiver.seconds(60);
  CHECK(receiver.refusal() == "the GPS receiver has had its fix for less than a minute");
  receiver.second();
  CHECK(receiver.refusal() == "");
}

TEST_CASE("five silent seconds make it stale") {
  Receiver receiver;
  receiver.seconds(61);
  receiver.machine.pass(5s);
  CHECK(receiver.refusal() == "");
  receiver.machine.pass(1us);
  CHECK(receiver.refusal() == "the GPS receiver is silent");
}

TEST_CASE("fifteen offsets are needed, and after the clock was set fifteen new ones") {
  Receiver receiver;
  receiver.seconds(100);
  receiver.gps.forget_offsets();
  receiver.seconds(14);
  CHECK(receiver.refusal() == "gpsd compares too few seconds with the clock");
  receiver.second();
  CHECK(receiver.refusal() == "");
}

TEST_CASE("a scattering pulse is refused, one stray among fifteen is not") {
  Receiver receiver;
  receiver.seconds(61);
  receiver.pulse = 400ms;
  receiver.second();
  receiver.pulse = 2ms;
  receiver.second();
  REQUIRE(receiver.estimate());
  CHECK(receiver.estimate()->error == 2ms);
  receiver.pulse_jitter = 6ms;
  receiver.seconds(30);
  CHECK(receiver.refusal() == "the GPS pulse scatters over 6.0 ms");
}

TEST_CASE("serial data scattering over half a second are refused") {
  Receiver receiver;
  receiver.pulse.reset();
  receiver.seconds(61);
  for (int i = 0; i < 30; ++i) {
    receiver.serial = (i % 2) * 501ms;
    receiver.second();
  }
  CHECK(receiver.refusal() == "the GPS receiver's data scatter over 501 ms");
}

TEST_CASE("pulse and data must agree on the second") {
  Receiver receiver;
  receiver.serial = 502ms;
  receiver.seconds(61);
  CHECK(receiver.refusal() == "");
  receiver.serial = 1002ms;
  receiver.seconds(30);
  CHECK(receiver.refusal() == "the GPS receiver's pulse and data are 1.000 s apart");
}

TEST_CASE("without serial offsets the time of the fix names the second, and without either nothing does") {
  Receiver receiver;
  receiver.serial.reset();
  receiver.seconds(61);
  CHECK(receiver.refusal() == "");
  receiver.date = noon + 1h;
  receiver.second();
  CHECK(receiver.refusal().starts_with("the GPS receiver's pulse and data are "));
  receiver.gps.forget_offsets();
  receiver.gps.take(GpsFix{3, std::nullopt, std::nullopt}, receiver.machine.now().boot, noon);
  for (int i = 0; i < 15; ++i) {
    const auto& now = receiver.machine.now();
    receiver.gps.take(GpsOffset{GpsOffset::Of::pulse, now.realtime, now.realtime}, now.boot, now.realtime);
  }
  CHECK(receiver.refusal() == "the GPS receiver doesn't say which second its pulse belongs to");
}

TEST_CASE("the position is the last fix's, until that is lost or the receiver is silent") {
  Receiver receiver;
  const GpsPosition position{Degrees{36.1}, Degrees{-5.4}, Metres{4.5}};
  const auto fix = [&](int mode, std::optional<GpsPosition> where) {
    receiver.gps.take(GpsFix{mode, {}, {}, where}, receiver.machine.now().boot, noon);
  };
  const auto found = [&] { return receiver.gps.position(receiver.machine.now().boot); };
  CHECK_FALSE(found());
  fix(3, position);
  CHECK(found() == position);
  fix(3, {});  // a report that doesn't repeat everything
  receiver.machine.pass(5s);
  CHECK(found() == position);
  receiver.machine.pass(1us);
  CHECK_FALSE(found());
  fix(3, position);
  fix(1, {});
  CHECK_FALSE(found());
}

TEST_CASE("impossible dates are refused: a cold start and a week count that has rolled over") {
  Receiver receiver;
  receiver.date = parse_utc("1980-01-06T00:00:30Z");
  receiver.seconds(61);
  CHECK(receiver.refusal() == "the GPS receiver says that it is 1980-01-06");
  receiver.date = noon - std::chrono::weeks{1024};
  receiver.second();
  CHECK(receiver.refusal() == "the GPS receiver says that it is 2007-12-17");
  receiver.date = built + std::chrono::weeks{1024};
  receiver.second();
  CHECK(receiver.refusal() == "the GPS receiver says that it is 2046-12-08");
}

TEST_CASE("a report without the time leaves the last one standing, a fix without any is refused") {
  Receiver receiver;
  receiver.date = parse_utc("1980-01-06T00:00:30Z");
  receiver.seconds(61);
  const auto without_time = [](Receiver& with) {
    with.gps.take(GpsFix{3, std::nullopt, std::nullopt}, with.machine.now().boot,
                  with.machine.now().realtime);
  };
  without_time(receiver);
  CHECK(receiver.refusal() == "the GPS receiver says that it is 1980-01-06");
  Receiver timeless;
  without_time(timeless);
  CHECK(timeless.refusal() == "the GPS receiver doesn't tell the time");
}

TEST_CASE("a receiver that gives GPS time for UTC is found out") {
  Receiver receiver;
  receiver.pulse = -18s + 2ms;
  receiver.serial = -18s + 130ms;
  receiver.seconds(61);
  CHECK(receiver.refusal() == "the GPS receiver is ahead by the 18 leap seconds it doesn't know yet");
}

TEST_CASE("a receiver that tells a wrong count of leap seconds is refused") {
  Receiver receiver;
  receiver.date = parse_utc("2026-06-01T08:00:00Z");  // within the leap second table's time
  Receiver later;
  receiver.leap_seconds = 15;
  receiver.seconds(61);
  CHECK(receiver.gps.estimate(receiver.machine.now().boot, *receiver.date - std::chrono::days{9}).error() ==
        "the GPS receiver counts 15 leap seconds instead of 18");
  later.leap_seconds = 19;  // a leap second announced after our table was made
  later.seconds(61);
  CHECK(later.refusal() == "");
  later.leap_seconds = 20;
  later.second();
  CHECK(later.refusal() == "the GPS receiver counts 20 leap seconds instead of 18");
}

TEST_CASE("without gpsd, or with one of another protocol, there is nothing") {
  Receiver receiver;
  receiver.seconds(61);
  receiver.gps.lost("gpsd does not run");
  CHECK(receiver.refusal() == "gpsd does not run");
  receiver.gps.take(GpsdVersion{4}, receiver.machine.now().boot, noon);
  CHECK(receiver.refusal() == "gpsd speaks protocol 4, this program knows 3");
}

}  // namespace noonfall::clock
