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
  const auto report = read_gpsd_report(std::string{line} + "\r\n");
  REQUIRE(report);
  REQUIRE(std::holds_alternative<T>(*report));
  return std::get<T>(*report);
}

bool ignored(std::string_view line) {
  return !read_gpsd_report(std::string{line});
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
  CHECK_FALSE(none.position);
}

TEST_CASE("a fix tells where the receiver is, and how far that may be off if it says so") {
  CHECK(read<GpsFix>(R"({"class":"TPV","mode":3,"lat":36.1,"lon":-5.4,"altHAE":51.2,"eph":4.5})").position ==
        GpsPosition{Degrees{36.1}, Degrees{-5.4}, Metres{4.5}});
  CHECK(read<GpsFix>(R"({"class":"TPV","mode":2,"lat":36.1,"lon":-5.4})").position ==
        GpsPosition{Degrees{36.1}, Degrees{-5.4}, std::nullopt});
  for (const auto* line :
       {R"({"class":"TPV","mode":1,"lat":36.1,"lon":-5.4})", R"({"class":"TPV","mode":3,"lat":36.1})",
        R"({"class":"TPV","mode":3,"lon":-5.4})", R"({"class":"TPV","mode":3,"lat":90.1,"lon":-5.4})",
        R"({"class":"TPV","mode":3,"lat":36.1,"lon":1e400})"}) {
    CAPTURE(line);
    CHECK_FALSE(read<GpsFix>(line).position);
  }
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
  const auto serial = read<GpsOffset>(
      R"({"class":"TOFF","device":"/dev/ttyUSB0","real_sec":1330212592,"real_nsec":0,"clock_sec":1330212592,"clock_nsec":130000000})");
  CHECK(serial.of == GpsOffset::Of::serial_data);
  CHECK(serial.system - serial.real == 130ms);
}

TEST_CASE("unknown classes, other shapes and no JSON at all are ignored") {
  for (const auto* line :
       {"", "{", "[]", "3", "null", "{}", R"({"class":3})", R"({"class":"SKY","satellites":[]})",
        R"({"class":"DEVICES","devices":[]})", R"({"class":"VERSION","proto_major":"3"})",
        R"({"class":"PPS","real_sec":1,"real_nsec":0,"clock_nsec":1})",
        R"({"class":"PPS","real_sec":-1,"real_nsec":0,"clock_sec":1,"clock_nsec":0})",
        R"({"class":"PPS","real_sec":18446744073709551615,"real_nsec":0,"clock_sec":1,"clock_nsec":0})",
        R"({"class":"PPS","real_sec":1,"real_nsec":1000000000,"clock_sec":1,"clock_nsec":0})"}) {
    CAPTURE(line);
    CHECK(ignored(line));
  }
  CHECK(ignored(std::string(16384, '[')));
}

TEST_CASE("lines on which libgps 3.22 would go round for ever don't reach it") {
  for (const auto* line : {R"({x"class":"TPV"})", R"(x{"class":"TPV","mode":3})",
                           R"({"class":"TPV","x":{"a":1},"y":{"class":"TPV"}})",
                           R"({"class":"TPV","mode":3}{"class":"TPV","mode":3}x"class":"TPV")"}) {
    CAPTURE(line);
    CHECK(ignored(line));
  }
}

}  // namespace noonfall::clock
