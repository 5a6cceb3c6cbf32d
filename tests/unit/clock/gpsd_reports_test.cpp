// Report shapes: gpsd_json(5), protocol 3; the examples are that page's, with other figures.
#include "daemon/clock/gpsd_reports.h"

#include <doctest/doctest.h>

#include <string>

#include "lib/time/utc_text.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;

template <class T>
T read(std::string_view line) {
  const auto report = parse_gpsd_report(line);
  REQUIRE(std::holds_alternative<T>(report));
  return std::get<T>(report);
}

bool ignored(std::string_view line) {
  return std::holds_alternative<GpsdOther>(parse_gpsd_report(line));
}

}  // namespace

TEST_CASE("gpsd's introduction tells its protocol") {
  CHECK(read<GpsdVersion>(
            R"({"class":"VERSION","release":"3.22","rev":"3.22","proto_major":3,"proto_minor":14})")
            .major == 3);
}

TEST_CASE("a fix is its mode, and the time if there is one") {
  const auto fix = read<GpsFix>(
      R"({"class":"TPV","device":"/dev/pts/1","mode":3,"time":"2027-08-02T08:00:00.250Z","ept":0.005,"leapseconds":18})");
  CHECK(fix.mode == 3);
  CHECK(fix.time == parse_utc("2027-08-02T08:00:00.250Z"));
  CHECK(fix.leap_seconds == 18);
  const auto none = read<GpsFix>(R"({"class":"TPV","mode":1})");
  CHECK(none.mode == 1);
  CHECK_FALSE(none.time);
  CHECK_FALSE(none.leap_seconds);
}

TEST_CASE("a mode or time that isn't one is none") {
  CHECK(read<GpsFix>(R"({"class":"TPV","mode":7})").mode == 0);
  CHECK(read<GpsFix>(R"({"class":"TPV","mode":"3"})").mode == 0);
  CHECK(read<GpsFix>(R"({"class":"TPV"})").mode == 0);
  CHECK_FALSE(read<GpsFix>(R"({"class":"TPV","mode":3,"time":"yesterday"})").time);
}

TEST_CASE("pulses and serial data compare the receiver's clock with the system's") {
  const auto pulse = read<GpsOffset>(
      R"({"class":"PPS","device":"/dev/ttyS0","real_sec":1330212592,"real_nsec":343182000,"clock_sec":1330212592,"clock_nsec":345184999,"precision":-20,"shm":"NTP2","qErr":-700})");
  CHECK(pulse.of == GpsOffset::Of::pulse);
  CHECK(pulse.system - pulse.real == 2002us);
  CHECK(pulse.precision == 1us);  // 2^-20 s
  const auto serial = read<GpsOffset>(
      R"({"class":"TOFF","device":"/dev/ttyUSB0","real_sec":1330212592,"real_nsec":0,"clock_sec":1330212592,"clock_nsec":130000000})");
  CHECK(serial.of == GpsOffset::Of::serial_data);
  CHECK(serial.system - serial.real == 130ms);
}

TEST_CASE("unknown classes, other shapes and no JSON at all are ignored") {
  for (const auto* line :
       {"", "{", "[]", "3", "null", "{}", R"({"class":3})", R"({"class":"SKY","satellites":[]})",
        R"({"class":"DEVICES","devices":[]})", R"({"class":"VERSION"})",
        R"({"class":"VERSION","proto_major":3.5})",
        R"({"class":"PPS","real_sec":1,"real_nsec":0,"clock_sec":1})",
        R"({"class":"PPS","real_sec":-1,"real_nsec":0,"clock_sec":1,"clock_nsec":0})",
        R"({"class":"PPS","real_sec":18446744073709551615,"real_nsec":0,"clock_sec":1,"clock_nsec":0})",
        R"({"class":"PPS","real_sec":1,"real_nsec":1000000000,"clock_sec":1,"clock_nsec":0})"}) {
    CAPTURE(line);
    CHECK(ignored(line));
  }
  CHECK(ignored(std::string(16384, '[')));
}

TEST_CASE("the request fits gpsd's limit of 80 characters and is one line") {
  CHECK(gpsd_watch_request.size() <= 80);
  CHECK(gpsd_watch_request.find('\n') == gpsd_watch_request.size() - 1);
}

}  // namespace noonfall::clock
